//! A unit of a car as it is named on the command line: open, solid, or the path of its file.

use super::failure::Failure;
use crate::app::read_text;
use crate::mechanics::LockModel;
use crate::mechanics::whole_car::Coupling;
use crate::tuning::Others;
use crate::workshop::car_layout::Place;
use crate::workshop::{Car, UnitFile};
use clap::{Args, ValueEnum};
use std::path::Path;

/// The units of a car that are not settled.
#[derive(Args)]
pub(super) struct OtherUnits {
    /// What is in the front axle: open, solid, or a unit's TOML file; open by default
    #[arg(long, value_name = "UNIT")]
    pub front: Option<String>,
    /// What joins the axles: open, solid, or a unit's TOML file; as the car's file says by default
    #[arg(long, value_name = "UNIT")]
    pub centre: Option<String>,
    /// What is in the rear axle: open, solid, or a unit's TOML file; open by default
    #[arg(long, value_name = "UNIT")]
    pub rear: Option<String>,
}

impl OtherUnits {
    /// The units of a car, with those that are named here.
    pub fn of(&self, car: &Car) -> Result<Others, Failure> {
        let mut others = Others::of(car);
        for (named, place) in [
            (&self.front, &mut others.front),
            (&self.centre, &mut others.centre),
            (&self.rear, &mut others.rear),
        ] {
            if let Some(named) = named {
                *place = coupling(named)?;
            }
        }
        Ok(others)
    }

    /// The unit at a place, where a file is named for it.
    pub fn file_at(&self, place: PlaceWord) -> Result<UnitFile, Failure> {
        let (name, named) = match place {
            PlaceWord::Front => ("--front", &self.front),
            PlaceWord::Centre => ("--centre", &self.centre),
            PlaceWord::Rear => ("--rear", &self.rear),
        };
        match named.as_deref() {
            None | Some("open" | "solid") => Err(Failure::Needed {
                name,
                why: "the unit there is to be settled too",
                what: "its TOML file",
            }),
            Some(path) => {
                let text = read_text(Path::new(path))?;
                Ok(UnitFile::read(&text.name, &text.text)?)
            }
        }
    }
}

/// A place of a car.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum PlaceWord {
    Front,
    Centre,
    Rear,
}

impl From<PlaceWord> for Place {
    fn from(word: PlaceWord) -> Place {
        match word {
            PlaceWord::Front => Place::Front,
            PlaceWord::Centre => Place::Centre,
            PlaceWord::Rear => Place::Rear,
        }
    }
}

fn coupling(named: &str) -> Result<Coupling, Failure> {
    match named {
        "open" => Ok(Coupling::Open),
        "solid" => Ok(Coupling::Solid),
        path => {
            let text = read_text(Path::new(path))?;
            let unit = UnitFile::read(&text.name, &text.text)?;
            Ok(Coupling::Plates(Box::new(LockModel::new(unit.lock_setup()?)?)))
        }
    }
}
