use super::ask::{Refusal, StepKind};
use super::definition::{Field, Kind, Plain, Step};
use super::looks::{LOOKS, SPRING_LOOKS, TURNED};
use super::session::{Session, Taken};
use super::state::Kept;
use super::typed::{MOST_CHARACTERS, Read, SURE, is_near, no, parsed, plain_text};
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::{Dimension, Distance, Duration, Length, Torque, Units, Volume, parse};
use crate::record::{Chosen, Entry, Slot, Value};
use crate::workshop::{Measures, SpringKind};

/// The most kilometres, or hours, between two builds: what is more is no slip that `sure` could mean.
const FARTHEST: f64 = 1e6;

impl Session {
    pub(super) fn take_answer(
        &mut self,
        slot: &Slot,
        step: &Step,
        text: &str,
        at: String,
    ) -> Result<Taken, Refusal> {
        let text = text.trim();
        let before = match self.kept(slot, step) {
            Some(Kept::Answer(before)) if text.is_empty() => Some(before.clone()),
            _ => None,
        };
        if text.chars().count() > MOST_CHARACTERS {
            return no(format!("that is too long; at most {MOST_CHARACTERS} characters"));
        }
        if step.fills == Some(Field::Choice)
            && let Some(said) = self.change_by_hand(text)?
        {
            return Ok(Taken {
                entries: Vec::new(),
                said,
            });
        }
        let (read, insisted) = match before {
            Some(before) => self.keep(slot, step, &before)?,
            None => self.read_surely(slot, step, text)?,
        };
        // the name that is just being given is already the one who gives it
        let by = match (step.fills, &read.value) {
            (Some(Field::BuiltBy | Field::SignedBuilt | Field::SignedChecked), Value::Text(name)) => {
                name.clone()
            }
            _ => self.state.by().to_string(),
        };
        let mut taken = Taken {
            entries: vec![Entry::Answered {
                at,
                by,
                slot: slot.clone(),
                text: read.text,
                value: read.value,
                insisted,
            }],
            said: Vec::new(),
        };
        self.finish_with(&mut taken);
        Ok(taken)
    }

    pub(super) fn read(&self, slot: &Slot, step: &Step, text: &str) -> Result<Read, Refusal> {
        let Some(field) = step.fills else {
            return read_plain(step, text);
        };
        match field.kind() {
            Kind::Text | Kind::Name => {
                let text = plain_text(text)?;
                let odd = match field {
                    Field::SignedChecked => {
                        self.facts().second_person(&text)?;
                        None
                    }
                    Field::SignedBuilt => self.facts().odd_builder(&text),
                    Field::Oil => self.facts().odd_oil(&text),
                    _ => None,
                };
                let value = Value::Text(text.clone());
                Ok(Read { text, value, odd })
            }
            Kind::Done => {
                let mut read = read_done(text)?;
                let group = self
                    .job
                    .unit
                    .bolts
                    .iter()
                    .find(|bolts| Some(bolts.name.as_str()) == slot.item.as_deref());
                if field == Field::Tightened
                    && let Some(doubt) = group.and_then(|bolts| self.facts().doubted_torque(bolts, slot))
                {
                    read.odd = Some(doubt);
                }
                Ok(read)
            }
            Kind::Quantity(dimension) => self.read_quantity(slot, field, dimension, text),
            Kind::Word => self.read_word(slot, field, text),
            Kind::Order => self.read_order(slot, text),
            Kind::Choice => self.read_choice(text),
        }
    }

    fn read_quantity(
        &self,
        slot: &Slot,
        field: Field,
        dimension: Dimension,
        text: &str,
    ) -> Result<Read, Refusal> {
        let units = self.state.units;
        match dimension {
            Dimension::Torque => {
                let (torque, text) = parsed::<Torque>(text, units)?;
                if torque.newton_metres() < 0.0 {
                    return no("a torque is read without its sign here; at least 0 N·m is wanted");
                }
                let odd = self.odd_torque(slot, field, torque);
                Ok(Read {
                    text,
                    value: Value::Torque(torque.newton_metres()),
                    odd,
                })
            }
            Dimension::Distance => {
                // what has no road counts its hours instead
                if let Ok(hours) = parse::<Duration>(text) {
                    return read_running(hours, text);
                }
                let (distance, text) = parsed::<Distance>(text, units)?;
                let km = distance.kilometres();
                if km < 0.0 {
                    return no("a distance driven is at least 0 km");
                }
                if km > FARTHEST {
                    return no(format!("a distance driven is at most {FARTHEST} km"));
                }
                let odd = (km > 20_000.0)
                    .then(|| format!("{distance} is far for a competition car between two builds"));
                Ok(Read {
                    text,
                    value: Value::Distance(km),
                    odd,
                })
            }
            Dimension::Volume => {
                let (volume, text) = parsed::<Volume>(text, units)?;
                let litres = volume.litres();
                if litres <= 0.0 {
                    return no("more than 0 l of oil is wanted");
                }
                let usual = self.job.unit.oil.as_ref().map_or(1.5, |oil| oil.amount.litres());
                let odd = (!(0.5..=2.0).contains(&(litres / usual)))
                    .then(|| format!("{volume} is far from the usual {usual:.2} l"));
                Ok(Read {
                    text,
                    value: Value::Volume(litres),
                    odd,
                })
            }
            _ => {
                let (length, text) = parsed::<Length>(text, units)?;
                let odd = self.odd_length(slot, field, length, units)?;
                Ok(Read {
                    text,
                    value: Value::Length(length.nm()),
                    odd,
                })
            }
        }
    }

    /// A reading that is far from the others of the same part, which nobody's expectation shows.
    fn far_from_the_others(&self, slot: &Slot, field: Field, length: Length) -> Option<String> {
        let others = self.state.lengths(field, slot.round, slot.item.as_deref());
        let units = self.state.units;
        let room = Length::from_nm((5 * self.job.unit.limits.spread.nm()).max(100_000));
        let nearest = others.iter().copied().min_by_key(|other| other.apart(length))?;
        (nearest.apart(length) > room).then(|| {
            format!(
                "{} is {} from the nearest other reading of this part",
                length.show(units),
                nearest.apart(length).show(units)
            )
        })
    }

    fn odd_length(
        &self,
        slot: &Slot,
        field: Field,
        length: Length,
        units: Units,
    ) -> Result<Option<String>, Refusal> {
        let from_zero = matches!(
            field,
            Field::PlateFlatness | Field::SpareFlatness | Field::WrenchExtension | Field::DryClosing
        ) || matches!(field, Field::MicrometerZero | Field::DepthGaugeZero);
        if length < Length::ZERO && !matches!(field, Field::MicrometerZero | Field::DepthGaugeZero) {
            return no(format!(
                "{} is less than nothing; a part or a gap can not be",
                length.show(units)
            ));
        }
        if length == Length::ZERO && !from_zero {
            return no("0 is no measure of a part");
        }
        let odd = match field {
            Field::PlateFlatness | Field::SpareFlatness => (length > Length::from_um(1_000))
                .then(|| format!("{} out of flat is much", length.show(units))),
            Field::WrenchExtension => (length > Length::from_um(1_000_000))
                .then(|| format!("an extension of {} is long", length.show(units))),
            _ => self
                .facts()
                .expected_length(slot, field)
                .and_then(|(expected, share, what)| {
                    (!is_near(length.mm(), expected, share))
                        .then(|| format!("{} is far from {what}", length.show(units)))
                })
                .or_else(|| self.facts().thicker_than_new(slot, field, length))
                .or_else(|| self.far_from_the_others(slot, field, length)),
        };
        Ok(odd)
    }

    fn odd_torque(&self, slot: &Slot, field: Field, torque: Torque) -> Option<String> {
        let facts = self.facts();
        let proof = &self.job.unit.proof;
        if field == Field::Breakaway {
            let odd = facts
                .out_of_range(torque)
                .or_else(|| facts.odd_breakaway(slot.round, slot.item.as_deref().unwrap_or(""), torque));
            if odd.is_some() {
                return odd;
            }
        }
        (torque.newton_metres() > 3.0 * proof.most.newton_metres().max(30.0))
            .then(|| format!("{torque} is far above the window's {}", proof.most))
    }

    /// Why the unit can not be held so for the proof, where that is so.
    fn can_not_be_held(&self, slot: &Slot, word: &str) -> Option<String> {
        let facts = self.facts();
        let (share, sense) = facts.wedging(&facts.bench_of(slot.round)?)?;
        (word == "case" && share.value() >= 1.0).then(|| {
            format!(
                "with the case held these packs wedge: what turns one output comes through the other one's pack and the pins, and \
                 turned {sense} the {} ramp presses for {:.2} of what the wrench pulls; from 1 on nothing slips and only the \
                 wrench or a spline gives. Hold one output instead and leave the case free: type output",
                sense.ramp(),
                share.value()
            )
        })
    }

    fn read_word(&self, slot: &Slot, field: Field, text: &str) -> Result<Read, Refusal> {
        let ways = self.ways(slot, field);
        let (typed, reason) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let keys: Vec<&str> = ways.iter().map(|way| way.key.as_str()).collect();
        let (_, step) = self.job.procedure.step(&slot.step).unzip();
        let found = match step.and_then(|step| step.guard) {
            // a look that guards something is typed in full
            Some(_) => keys
                .iter()
                .find(|key| key.eq_ignore_ascii_case(typed))
                .map(ToString::to_string),
            None => unique_start(typed, &keys),
        };
        let Some(word) = found else {
            return no(format!("\"{typed}\" is none of these: {}", keys.join(", ")));
        };
        if field == Field::Held
            && let Some(why) = self.can_not_be_held(slot, &word)
        {
            return no(why);
        }
        // the word that confirms what is odd is no reason
        let reason = match reason.trim() {
            word if word.eq_ignore_ascii_case(SURE) => String::new(),
            words => words.to_string(),
        };
        if reason.is_empty()
            && let Some(why) = self.reason_wanted(slot, field, &word)
        {
            return no(format!("{why}; write it like this: {word} BECAUSE OF THIS"));
        }
        let text = if reason.is_empty() {
            word.clone()
        } else {
            format!("{word} {reason}")
        };
        Read::plain(&text, Value::Word { word, reason })
    }

    /// Why a word is only taken with a reason, where that is so.
    pub(super) fn reason_wanted(&self, slot: &Slot, field: Field, word: &str) -> Option<String> {
        match field {
            // what is in date now says nothing of an old paper's day
            Field::Micrometer | Field::DepthGauge | Field::Wrench if !self.job.copies_paper() => {
                let instrument = self.job.instruments.iter().find(|one| one.id == word)?;
                let today = self.today();
                (instrument.due.as_str() < today.as_str()).then(|| {
                    format!(
                        "{word} was due for calibration on {}: take another, or say why it is used all the same",
                        instrument.due
                    )
                })
            }
            Field::Fate => Some(format!(
                "to {word} a plate that is too close to call wants a reason"
            )),
            Field::DryDecision if word == "accept" => {
                Some("going on against the dry build wants a reason".to_string())
            }
            Field::ProofDecision if word == "accept" => {
                let verdict = self.facts().proof(slot.round).and_then(|proof| proof.verdict);
                (verdict != Some(Verdict::Inside)).then(|| {
                    format!(
                        "the proof is {} its window; accepting it wants a reason",
                        match verdict {
                            Some(Verdict::TooCloseToCall) => "too close to call against".to_string(),
                            Some(other) => other.to_string(),
                            None => "not read against".to_string(),
                        }
                    )
                })
            }
            _ => None,
        }
    }

    /// The day of the newest entry, as `2026-11-25`.
    fn today(&self) -> String {
        let newest = self
            .state
            .trail
            .iter()
            .filter_map(|slot| self.state.answers.get(slot).map(|answer| answer.at.as_str()))
            .max()
            .unwrap_or(&self.state.started);
        newest.chars().take(10).collect()
    }

    fn read_order(&self, slot: &Slot, text: &str) -> Result<Read, Refusal> {
        let side = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() == Some(side.word()));
        let Some(plan) = side.and_then(|side| self.job.unit.packs.get(side.index())) else {
            return no("no side is asked for");
        };
        // typed on purpose, with the order in sight; an Enter too many is no look
        if text.is_empty() {
            return no("the order is wanted, or same where it is just so");
        }
        if text.eq_ignore_ascii_case("same") {
            self.facts().not_in_the_other_pack(slot, &plan.order)?;
            return Read::plain("same", Value::Names(plan.order.clone()));
        }
        let names: Vec<String> = text
            .split(|c: char| c.is_whitespace() || c == ',')
            .filter(|name| !name.is_empty())
            .map(str::to_string)
            .collect();
        let mut seen: Vec<&String> = Vec::new();
        for name in &names {
            if self.job.unit.plate(name).is_none() {
                return no(format!("no plate of this unit is called {name}"));
            }
            if seen.contains(&name) {
                return no(format!("plate {name} is named twice"));
            }
            seen.push(name);
        }
        self.facts().not_in_the_other_pack(slot, &names)?;
        let odd = (names.len() != plan.order.len()).then(|| {
            format!(
                "{} plates were named, but {} should lie on this side",
                names.len(),
                plan.order.len()
            )
        });
        Ok(Read {
            text: names.join(" "),
            value: Value::Names(names),
            odd,
        })
    }

    /// How a proposal came about.
    fn how(&self, n: usize) -> String {
        match self.choosing.wish_words(self.state.units) {
            Some(wish) => format!("proposal {n}, {wish}"),
            None => format!("proposal {n}"),
        }
    }

    fn read_choice(&self, text: &str) -> Result<Read, Refusal> {
        let (word, reason) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let facts = self.facts();
        if word.eq_ignore_ascii_case("hand") {
            let Some(draft) = &self.choosing.draft else {
                return no(
                    "nothing has been changed by hand yet; write, for one: swap A B, or shims left 0.10 0.15",
                );
            };
            let faults = self.choosing.faults_of(&facts, &draft.sides);
            if !faults.is_empty() && reason.trim().is_empty() {
                return no(format!(
                    "this choice has a fault: {}; to take it all the same, write: hand BECAUSE OF THIS",
                    faults.join("; ")
                ));
            }
            let chosen = Chosen {
                reason: reason.trim().to_string(),
                ..draft.clone()
            };
            return Read::plain(text, Value::Chosen(chosen));
        }
        let outcome = match self.choosing.proposals(&facts) {
            Ok(outcome) => outcome,
            Err(why) => return no(why.clone()),
        };
        let picked = word
            .parse::<usize>()
            .ok()
            .and_then(|n| outcome.choices.get(n.checked_sub(1)?).map(|c| (n, c)));
        let Some((n, choice)) = picked else {
            let hands = "or a change by hand: swap A B, shims left 0.10 0.15";
            return match outcome.choices.len() {
                0 => no(format!(
                    "nothing that was measured fits; write {hands}; or pause and get what is missing"
                )),
                count => no(format!("one of the proposals is wanted, 1 to {count}, {hands}")),
            };
        };
        match facts.chosen(&choice.sides, self.how(n)) {
            Some(chosen) => Read::plain(text, Value::Chosen(chosen)),
            None => no("these plates can not be put in an order with the wanted number of faces"),
        }
    }

    /// The words that a field's question may be answered with: all that the field knows, or those that its step is held to.
    pub(super) fn ways(&self, slot: &Slot, field: Field) -> Vec<super::ask::Way> {
        let mut ways = self.all_ways(slot, field);
        if let Some((_, step)) = self.job.procedure.step(&slot.step)
            && !step.ways.is_empty()
        {
            ways.retain(|way| step.ways.contains(&way.key));
        }
        ways
    }

    fn all_ways(&self, slot: &Slot, field: Field) -> Vec<super::ask::Way> {
        let way = |key: &str, words: String| super::ask::Way {
            key: key.to_string(),
            words,
        };
        let today = self.today();
        let instruments = |wanted: fn(&Measures) -> bool| {
            self.job
                .instruments
                .iter()
                .filter(|one| wanted(&one.measures))
                .map(|one| {
                    let state = if one.due.as_str() < today.as_str() {
                        "OUT OF DATE since"
                    } else {
                        "calibrated to"
                    };
                    way(
                        &one.id,
                        format!(
                            "{}, {state} {}",
                            measures_words(&one.measures, self.state.units),
                            one.due
                        ),
                    )
                })
                .collect()
        };
        match field {
            Field::Micrometer => instruments(|measures| matches!(measures, Measures::Thickness(_))),
            Field::DepthGauge => instruments(|measures| matches!(measures, Measures::Depth(_))),
            Field::Wrench => instruments(|measures| matches!(measures, Measures::Torque { .. })),
            Field::PlateLook => LOOKS
                .iter()
                .map(|(word, words, rejects)| {
                    way(
                        word,
                        if *rejects {
                            format!("{words} (rejects it)")
                        } else {
                            (*words).to_string()
                        },
                    )
                })
                .collect(),
            Field::SpringLook => {
                let discs = matches!(
                    self.job.unit.spring.as_ref().map(|spring| spring.kind),
                    Some(SpringKind::Discs { .. })
                );
                SPRING_LOOKS
                    .iter()
                    // a coil has no wrong way round
                    .filter(|(word, ..)| discs || *word != TURNED)
                    .map(|(word, words, _)| way(word, (*words).to_string()))
                    .collect()
            }
            Field::Fate => vec![
                way("keep", "use it; a reason is wanted".to_string()),
                way("reject", "throw it out; a reason is wanted".to_string()),
            ],
            Field::DryDecision => vec![
                way(
                    "choose",
                    "back to the choice, with this build kept on record".to_string(),
                ),
                way("accept", "go on all the same; a reason is wanted".to_string()),
            ],
            Field::Held | Field::FoundHeld => vec![
                way(
                    "case",
                    "case held, one output turned, the other free: the ramps work, too".to_string(),
                ),
                way(
                    "output",
                    "one output held, the other turned, case free (as in the car); the surer way".to_string(),
                ),
            ],
            Field::Turned => vec![
                way("right", "the wrench turns the right output".to_string()),
                way("left", "the wrench turns the left output".to_string()),
            ],
            Field::Rebuilt => vec![
                way("yes", "distances count from then".to_string()),
                way(
                    "no",
                    "it was looked at or measured, and closed as it was".to_string(),
                ),
            ],
            Field::ProofDecision => {
                let accept = match self.reason_wanted(slot, field, "accept") {
                    Some(_) => "leave it so all the same; a reason is wanted",
                    None => "leave it so",
                };
                let again = if self.job.asks(Field::Choice) {
                    "open it and go back to the choice"
                } else {
                    "read the whole proof once more; this one stays on record"
                };
                vec![way("accept", accept.to_string()), way("again", again.to_string())]
            }
            _ => Vec::new(),
        }
    }
}

/// Hours run where a distance was asked for.
fn read_running(running: Duration, text: &str) -> Result<Read, Refusal> {
    let hours = running.hours();
    if hours < 0.0 {
        return no("a running time is at least 0 h");
    }
    if hours > FARTHEST {
        return no(format!("a running time is at most {FARTHEST} h"));
    }
    let odd = (hours > 400.0).then(|| format!("{running} is long for a competition car between two builds"));
    Ok(Read {
        text: text.trim().to_string(),
        value: Value::Running(hours),
        odd,
    })
}

/// The word that starts with what was typed, where there is only one.
fn unique_start(typed: &str, keys: &[&str]) -> Option<String> {
    let typed = typed.to_lowercase();
    if typed.is_empty() {
        return None;
    }
    if let Some(exact) = keys.iter().find(|key| key.to_lowercase() == typed) {
        return Some((*exact).to_string());
    }
    let mut starting = keys.iter().filter(|key| key.to_lowercase().starts_with(&typed));
    match (starting.next(), starting.next()) {
        (Some(only), None) => Some((*only).to_string()),
        _ => None,
    }
}

fn read_done(text: &str) -> Result<Read, Refusal> {
    if ["", "done", "d", "y", "yes", "ok"].contains(&text.to_lowercase().as_str()) {
        Read::plain("done", Value::Done)
    } else {
        no("Enter or done is wanted when it is done; a note can be made with the note key")
    }
}

fn read_plain(step: &Step, text: &str) -> Result<Read, Refusal> {
    if step.kind == StepKind::Caution {
        // a bare Enter, or a measuring instrument that sends one, must not acknowledge a caution
        return if text.eq_ignore_ascii_case("yes") {
            Read::plain("yes", Value::Done)
        } else {
            no("read it, and type the whole word yes when it is so")
        };
    }
    match step.answer {
        Plain::Done => read_done(text),
        Plain::Text => {
            let text = plain_text(text)?;
            Read::plain(&text, Value::Text(text.clone()))
        }
        Plain::YesNo => match (text.to_lowercase().as_str(), step.guard) {
            ("y", None) | ("yes", _) => Read::plain("yes", Value::Yes(true)),
            ("n", None) | ("no", _) => Read::plain("no", Value::Yes(false)),
            (_, None) => no("yes or no is wanted"),
            (_, Some(_)) => no("look, and type the whole word yes or no"),
        },
    }
}

/// What an instrument does, in a few words.
fn measures_words(measures: &Measures, units: Units) -> String {
    match measures {
        Measures::Thickness(gauge) | Measures::Depth(gauge) => format!(
            "reads to {}, ± {} by its certificate",
            gauge.resolution.show(units),
            gauge.calibration.show(units)
        ),
        Measures::Torque {
            relative,
            length,
            reads,
        } => {
            let range = match reads {
                [Some(least), Some(most)] => format!(", reads {} to {}", least.show(units), most.show(units)),
                [None, Some(most)] => format!(", reads up to {}", most.show(units)),
                [Some(least), None] => format!(", reads from {}", least.show(units)),
                [None, None] => String::new(),
            };
            format!(
                "± {:.1} % by its certificate, {} long{range}",
                relative.value() * 100.0,
                length.show(units)
            )
        }
    }
}
