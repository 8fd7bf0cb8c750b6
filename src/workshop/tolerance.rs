//! By how much springs may press otherwise than they are reckoned, and who says so.

use crate::document::Section;
use crate::mechanics::spring::delivered_force;
use crate::mechanics::{MechanicsError, SpringStack};
use crate::quantity::{Force, Length, Ratio};

/// By how much a maker may deliver springs softer and stiffer than they are reckoned, each share between as likely as another.
#[derive(Clone, PartialEq, Debug)]
pub struct SpringTolerance {
    /// The least, as a share of the reckoned force: −0.075 for 7.5 % less.
    pub least: Ratio,
    /// The most, likewise.
    pub most: Ratio,
    /// Who says so.
    pub by: ToleranceBy,
}

/// Where a tolerance comes from.
#[derive(Clone, PartialEq, Debug)]
pub enum ToleranceBy {
    /// The unit's file.
    File,
    /// A certificate of these springs, which gives their force too.
    Certificate(Certificate),
    /// The groups of DIN EN 16983: [`delivered_force`](crate::mechanics::spring::delivered_force).
    Standard,
    /// What is usual for coils, 10 % either way (*common practice, no source*).
    Trade,
}

/// What a certificate says of one spring: one disc, or one coil.
#[derive(Clone, PartialEq, Debug)]
pub struct Certificate {
    /// Its number.
    pub number: String,
    /// The height under load.
    pub height: Length,
    /// The force there.
    pub force: Force,
}

/// What is asked of a certificate before it is held against its spring.
pub(super) struct CertificateRead {
    certificate: Certificate,
    part: Option<String>,
    band: [Ratio; 2],
}

const SHARES: &str = "at least -0.5 and at most 1";

/// Shares less and more at `key`; `None` where they are not there, or upside down, which is told.
pub(super) fn read_band(section: &Section<'_>, key: &'static str) -> Option<[Ratio; 2]> {
    let shares = section.quantities_where::<Ratio>(key, SHARES, 2..=2)?;
    let [least, most] = shares[..] else {
        return None;
    };
    if least > most {
        section.fault_at(
            key,
            "the tolerance is upside down: first by how much less the springs may press, then by how much more",
        );
        return None;
    }
    Some([least, most])
}

impl CertificateRead {
    /// Reads one from its table.
    pub(super) fn read(section: &Section<'_>) -> Option<CertificateRead> {
        let number = section.text("number");
        let part = section.text_maybe("part");
        let height = section.quantity_where("height", "at least 0.01 mm and at most 1 m");
        let force = section.quantity_where("force", "more than 0 N and at most 1000 kN");
        let band = read_band(section, "tolerance");
        section.needed(
            "tolerance",
            "by how much less and more, such as [\"-2 %\", \"2 %\"],",
        );
        section.finish();
        Some(CertificateRead {
            certificate: Certificate {
                number: number?,
                height: height?,
                force: force?,
            },
            part,
            band: band?,
        })
    }

    /// Holds it against one spring of the unit, and its part number against that of the unit's file; what does not fit is told at
    /// its key, and then nothing of it counts.
    pub(super) fn held_to(
        self,
        section: &Section<'_>,
        one: &SpringStack,
        part: Option<&str>,
        usual: &SpringTolerance,
    ) -> Option<SpringTolerance> {
        let CertificateRead {
            certificate,
            part: certified,
            band: [least, most],
        } = self;
        if let (Some(certified), Some(part)) = (&certified, part)
            && certified != part
        {
            section.fault_at(
                "part",
                format!("it is of {certified}, and the springs are {part}: another spring's certificate"),
            );
            return None;
        }
        let (height, free, solid) = (certificate.height, one.free_height(), one.solid_height());
        if height < solid || height >= free {
            section.fault_at(
                "height",
                format!("one of these springs is solid at {solid} and free at {free}, so {height} is of another spring"),
            );
            return None;
        }
        let law = one.force_at_height(height).ok()?;
        let [less, more] = usual.times();
        let share = certificate.force.newtons() / law.newtons();
        // a little past what the standard lets a maker deliver is still this spring
        if !(less - 0.1..=more + 0.1).contains(&share) {
            section.fault_at(
                "force",
                format!(
                    "one of these springs gives about {law} at {height}, and not {}: another spring's certificate, or the \
                     force of several",
                    certificate.force
                ),
            );
            return None;
        }
        Some(SpringTolerance {
            least,
            most,
            by: ToleranceBy::Certificate(certificate),
        })
    }
}

impl SpringTolerance {
    /// The tolerance of springs of which the unit's file says nothing: of discs by their thickness, of coils, which have none, ± 10 %.
    /// Source: DIN EN 16983 for discs; *common practice, no source* for coils and for discs over 16 mm.
    ///
    /// # Errors
    /// A share that is no number.
    ///
    /// ```
    /// use shimwright::quantity::Length;
    /// use shimwright::workshop::tolerance::SpringTolerance;
    /// let one = SpringTolerance::default_for(Some(Length::from_um(1_750)))?;
    /// assert_eq!((one.least.value(), one.most.value()), (-0.075, 0.15));
    /// assert_eq!(SpringTolerance::default_for(None)?.most.value(), 0.1);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn default_for(thickness: Option<Length>) -> Result<SpringTolerance, MechanicsError> {
        let (less, more, by) = match thickness.map(delivered_force) {
            Some(Ok([less, more])) => (less.value(), more.value(), ToleranceBy::Standard),
            Some(Err(_)) | None => (0.1, 0.1, ToleranceBy::Trade),
        };
        Ok(SpringTolerance {
            least: Ratio::new(-less)?,
            most: Ratio::new(more)?,
            by,
        })
    }

    /// Its ends as shares of the reckoned force, such as 0.925 and 1.15.
    pub fn times(&self) -> [f64; 2] {
        [self.least, self.most].map(|share| 1.0 + share.value())
    }

    /// What was assumed of the springs, in words.
    pub fn words(&self) -> String {
        let [least, most] = [self.least, self.most].map(|share| 100.0 * share.value());
        let sure = least.abs().max(most.abs()) <= 0.0;
        let taken = if sure { ", taken as sure, as it says" } else { "" };
        let by = match &self.by {
            ToleranceBy::File => format!("by the unit's file{taken}"),
            ToleranceBy::Certificate(certificate) => format!(
                "by certificate {}, {} at {}{taken}",
                certificate.number, certificate.force, certificate.height
            ),
            ToleranceBy::Standard => "by DIN EN 16983; the unit's file says nothing".to_string(),
            ToleranceBy::Trade => "common practice, no source; the unit's file says nothing".to_string(),
        };
        let band = format!("{least:+.1} to {most:+.1} %").replace('-', "−");
        format!("springs {band} of the reckoned force, {by}")
    }
}
