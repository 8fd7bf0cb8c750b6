//! `reckon convert`: one unit of measure into another.

use super::answer::Answer;
use crate::cli::failure::Failure;
use crate::quantity::{convert, significant};
use crate::report::Figures;
use clap::Args;

#[derive(Args)]
pub(super) struct Convert {
    /// The quantity with its unit, such as "35 lbf·ft"
    #[arg(allow_hyphen_values = true)]
    quantity: String,
    /// The unit wanted
    #[arg(long, allow_hyphen_values = true, value_name = "UNIT")]
    to: String,
}

impl Convert {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let (value, unit) =
            convert(&self.quantity, &self.to).map_err(|why| Failure::Argument { name: "convert", why })?;
        let figures = Figures::new().number("value", value).text("measure", unit);
        Ok(Answer::of_numbers("Convert", figures)
            .line(self.quantity.trim(), format!("{} {unit}", significant(value, 8))))
    }
}
