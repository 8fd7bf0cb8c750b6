//! What drivers felt of settings that were driven, beside what these settings do here; and how often the two point one way.

use super::course::Course;
use super::rated::Rated;
use super::said::Measure;
use crate::mechanics::MechanicsError;
use crate::metrology::share_interval;
use crate::report::{NOTHING, Section, Table};
use serde_json::{Value, json};

/// How sure the interval of the share is that agrees.
const CONFIDENCE: f64 = 0.95;

/// The phases of what is felt, in their order, each with the figure that rises with the lock that is felt in it; the unit alone
/// has none for straight ahead. Common practice, no source.
const PHASES: [(&str, Option<Measure>); 5] = [
    ("entry", Some(Measure::ShutAgainst)),
    ("middle", Some(Measure::LightAgainst)),
    ("power", Some(Measure::PowerAgainst)),
    ("lift", Some(Measure::ShutAgainst)),
    ("straight", None),
];

/// One setting on one drive day.
#[derive(Clone, PartialEq, Debug)]
pub struct FeltSetting {
    /// The drive day.
    pub day: String,
    /// The setting: a build's name, or the word for its file.
    pub called: String,
    /// In how many runs it was driven that day.
    pub runs: usize,
    /// The median of what was felt, -2 far too little lock to 2 far too much, by phase: entry, middle, power, lift, straight.
    pub felt: [Option<f64>; 5],
    /// What it does here; nothing where that is not known any more.
    pub rated: Option<Rated>,
}

/// How often the predicted direction between two settings of one day was the felt one.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Agreement {
    /// So often.
    pub agreed: usize,
    /// Of so many in which both point some way.
    pub of: usize,
}

impl Agreement {
    /// Over every two settings of one day and every phase; nothing where no phase points any way in both.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn of(course: &Course, all: &[FeltSetting]) -> Result<Option<Agreement>, MechanicsError> {
        let mut agreement = Agreement { agreed: 0, of: 0 };
        for (n, first) in all.iter().enumerate() {
            for second in all.iter().skip(n + 1).filter(|second| second.day == first.day) {
                let predicted = [first.predicted(course)?, second.predicted(course)?];
                for (phase, (_, measure)) in PHASES.iter().enumerate() {
                    let way = predicted[1][phase].zip(predicted[0][phase]);
                    let felt = second.felt[phase].zip(first.felt[phase]);
                    let (Some(measure), Some((then, now)), Some((after, before))) = (measure, way, felt)
                    else {
                        continue;
                    };
                    // what nobody feels is no prediction, and what was felt alike no verdict
                    if (then - now).abs() < measure.small() || (after - before).abs() < 0.25 {
                        continue;
                    }
                    agreement.of += 1;
                    agreement.agreed += usize::from((then > now) == (after > before));
                }
            }
        }
        Ok((agreement.of > 0).then_some(agreement))
    }

    /// The exact interval of the share, 95 %.
    pub fn interval(&self) -> (f64, f64) {
        share_interval(self.agreed, self.of, CONFIDENCE)
    }

    fn words(&self) -> String {
        let (low, high) = self.interval();
        let judged = if high < 0.5 {
            " It pointed the wrong way more often than chance would."
        } else if low > 0.5 {
            " It pointed the right way more often than chance would."
        } else {
            " That is not told apart from chance."
        };
        let [low, high] = [low, high].map(|share| format!("{:.0} %", 100.0 * share));
        format!(
            "Between settings of one day the predicted direction was the felt one in {} of {} phases in which both point some way \
             (exact interval, 95 %: {low} to {high}).{judged} Phases of one day hang together, so that the interval is rather too \
             narrow.",
            self.agreed, self.of
        )
    }
}

impl FeltSetting {
    /// The figure of each phase.
    fn predicted(&self, course: &Course) -> Result<[Option<f64>; 5], MechanicsError> {
        let mut figures = [None; 5];
        if let Some(rated) = &self.rated {
            for (figure, (_, measure)) in figures.iter_mut().zip(PHASES) {
                *figure = match measure {
                    Some(measure) => course.measured(rated, measure)?,
                    None => None,
                };
            }
        }
        Ok(figures)
    }
}

/// What was felt, a line a setting and day, beside what the settings do; nothing where none was driven.
pub(super) fn felt_section(course: &Course, all: &[FeltSetting]) -> Result<Option<Section>, MechanicsError> {
    if all.is_empty() {
        return Ok(None);
    }
    let step = |median: &Option<f64>| match median {
        None => NOTHING.to_string(),
        Some(median) if median.abs() < 0.25 => "0".to_string(),
        Some(median) => format!("{median:+}"),
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut day = "";
    for one in all {
        if one.day != day {
            day = &one.day;
            let mut head = vec![one.day.clone()];
            head.resize(PHASES.len() + 2, String::new());
            rows.push(head);
        }
        let predicted = one.predicted(course)?;
        let cells = one.felt.iter().zip(predicted).map(|(felt, figure)| match figure {
            Some(figure) => format!("{} ({figure:.0})", step(felt)),
            None => step(felt),
        });
        rows.push(
            [one.called.clone(), one.runs.to_string()]
                .into_iter()
                .chain(cells)
                .collect(),
        );
    }
    let head = ["", "runs"].into_iter().chain(PHASES.map(|(word, _)| word));
    let section = Section::under("WHAT DRIVERS FELT OF SETTINGS THAT WERE DRIVEN, beside what they do here:")
        .table(Table::of_words(head, rows))
        .words(
            "Felt, the median of the runs: -2 far too little lock, 0 as it should be, +2 far too much. In brackets the N·m against \
             the turn that go with it, more of them more lock felt: on entry and lift with the throttle shut, in the middle up to a \
             third of it, on power above that (common practice, no source).",
        );
    Ok(Some(match Agreement::of(course, all)? {
        Some(agreement) => section.words(agreement.words()),
        None => section,
    }))
}

/// The same for machines: the settings, and how often both point one way.
pub(super) fn felt_json(course: &Course, all: &[FeltSetting]) -> Result<[Value; 2], MechanicsError> {
    let mut rows = Vec::new();
    for one in all {
        let predicted = one.predicted(course)?;
        let phases: Vec<Value> = PHASES
            .iter()
            .enumerate()
            .map(|(n, (word, _))| json!({"phase": word, "felt_median": one.felt[n], "against_nm": predicted[n]}))
            .collect();
        rows.push(json!({"day": one.day, "setting": one.called, "runs": one.runs, "phases": phases}));
    }
    let agreement = Agreement::of(course, all)?.map(|agreement| {
        let (low, high) = agreement.interval();
        json!({
            "agreed": agreement.agreed, "of": agreement.of, "interval_low_share": low, "interval_high_share": high,
        })
    });
    Ok([Value::Array(rows), json!(agreement)])
}
