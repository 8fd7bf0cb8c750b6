//! Options that several commands take in the same words, and how their values are read.

use crate::app;
use crate::app::font::given_font;
use crate::bench::Colour;
use crate::quantity::Units;
use crate::sheet::{GivenFont, Paper};
use crate::workshop::defaults::DefaultKey;
use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Arg, Args, ValueEnum};
use std::fmt::Display;
use std::path::PathBuf;
use std::str::FromStr;

/// The word of the option for plain lines.
pub(super) const PLAIN: &str = "plain";

/// The default that an argument has; nothing where it has none of those that can be set.
pub(super) fn default_of(argument: &Arg) -> Option<DefaultKey> {
    let long = argument.get_long()?;
    let can_be = argument.get_possible_values();
    let takes = |key: &DefaultKey| {
        let known = |value: &&str| can_be.iter().any(|one| one.get_name() == *value);
        match key {
            DefaultKey::Screen => long == PLAIN,
            DefaultKey::Key | DefaultKey::Signers | DefaultKey::Font => long == key.word(),
            DefaultKey::Units | DefaultKey::Paper | DefaultKey::Language => {
                long == key.word() && key.values().iter().all(known)
            }
        }
    };
    DefaultKey::ALL.map(|(key, _)| key).into_iter().find(takes)
}

/// When colours are used.
#[derive(Args)]
pub(super) struct Colours {
    /// When colours are used: auto on a terminal that has them, and not where NO_COLOR is set
    #[arg(
        id = "color",
        long = "color",
        alias = "colour",
        value_name = "WHEN",
        global = true,
        value_enum
    )]
    pub word: Option<ColourWord>,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum ColourWord {
    Auto,
    Always,
    Never,
}

impl Colours {
    /// What is asked for.
    fn asked(&self) -> Colour {
        match self.word {
            None | Some(ColourWord::Auto) => Colour::Auto,
            Some(ColourWord::Always) => Colour::Always,
            Some(ColourWord::Never) => Colour::Never,
        }
    }
}

#[derive(Args)]
pub(super) struct Book {
    /// Where records are kept; by default under the user's data folder
    #[arg(
        id = "book",
        long = "book",
        env = "SHIMWRIGHT_BOOK",
        value_name = "DIR",
        hide_env_values = true,
        global = true,
        // an empty one is none, and is no fault
        value_parser = OsStringValueParser::new().map(PathBuf::from)
    )]
    pub dir: Option<PathBuf>,
}

/// What lies beside a unit's file, where it is another one.
#[derive(Args)]
pub(super) struct Beside {
    /// The drawer of shims and spares, instead of the one that the unit file names
    #[arg(long, value_name = "FILE")]
    pub drawer: Option<PathBuf>,
    /// The instruments, instead of those that the unit file names
    #[arg(long, value_name = "FILE")]
    pub instruments: Option<PathBuf>,
}

/// How questions are put and answered.
#[derive(Args)]
pub(super) struct Asking {
    /// Take the answers from this file; nothing is typed
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Plain lines instead of menus; chosen by itself where there is no terminal
    #[arg(long)]
    pub plain: bool,
    /// How bare numbers are read and values shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub colours: Colours,
}

impl Beside {
    /// The same for a job.
    pub fn for_job(&self) -> app::Beside {
        app::Beside {
            drawer: self.drawer.clone(),
            instruments: self.instruments.clone(),
        }
    }
}

impl Asking {
    /// The same for a job.
    pub fn for_job(&self) -> app::Asking {
        app::Asking {
            answers: self.answers.clone(),
            plain: self.plain,
            units: self.units.into(),
            colour: self.colours.asked(),
        }
    }
}

#[derive(Args)]
pub(super) struct Signing {
    /// The private key to sign with: an SSH key of the kind Ed25519
    #[arg(long, env = "SHIMWRIGHT_KEY", value_name = "FILE", hide_env_values = true)]
    pub key: Option<PathBuf>,
    /// The name to sign with; by default the one that the allowed signers have for the key
    #[arg(long = "as", value_name = "NAME")]
    pub name: Option<String>,
    /// Take the key's passphrase from the first line of this file, or pipe such as /dev/fd/3, instead of asking
    #[arg(long, value_name = "FILE")]
    pub passphrase_file: Option<PathBuf>,
}

impl Signing {
    /// The same for a job.
    pub fn for_job(&self) -> app::Signing {
        app::Signing {
            key: self.key.clone(),
            name: self.name.clone(),
            passphrase_file: self.passphrase_file.clone(),
        }
    }
}

/// What is printed with.
#[derive(Args)]
pub(super) struct Lettering {
    /// Print what the built-in typeface lacks, which has Latin, Greek and Cyrillic, with this font: TrueType or OpenType; FILE#2 is
    /// the second of a collection. Its name and SHA-256 stand in the PDF
    #[arg(long, env = "SHIMWRIGHT_FONT", value_name = "FILE", hide_env_values = true)]
    pub font: Option<PathBuf>,
}

impl Lettering {
    /// The font, where one is given.
    pub fn given(&self) -> Result<Option<GivenFont>, app::Failure> {
        given_font(self.font.as_ref())
    }
}

/// In which language what guards people is told.
#[derive(Args)]
pub(super) struct Speaking {
    /// The language of cautions, steps and their reasons, where it is not that of the file; all else is English
    #[arg(long, env = "SHIMWRIGHT_LANGUAGE", value_enum, hide_env_values = true)]
    pub language: Option<LanguageWord>,
}

impl Speaking {
    /// The letters of the language, where one is asked for.
    pub fn code(&self) -> Option<String> {
        self.language.map(|word| word.code().to_string())
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum LanguageWord {
    /// English
    // an empty environment variable is none, and is no fault
    #[value(alias = "")]
    En,
    /// German
    De,
    /// Spanish
    Es,
}

impl LanguageWord {
    fn code(self) -> &'static str {
        match self {
            LanguageWord::En => "en",
            LanguageWord::De => "de",
            LanguageWord::Es => "es",
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum UnitsWord {
    Metric,
    Inch,
}

impl UnitsWord {
    /// The units of what is told in words: what is for machines is the same whatever is asked for.
    pub fn of_words(self, json: bool) -> Units {
        if json { Units::Metric } else { self.into() }
    }
}

impl From<UnitsWord> for Units {
    fn from(word: UnitsWord) -> Units {
        match word {
            UnitsWord::Metric => Units::Metric,
            UnitsWord::Inch => Units::Inch,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum PaperWord {
    A4,
    Letter,
}

impl From<PaperWord> for Paper {
    fn from(word: PaperWord) -> Paper {
        match word {
            PaperWord::A4 => Paper::A4,
            PaperWord::Letter => Paper::Letter,
        }
    }
}

/// A reader of whole numbers that refuses others in our own words.
pub(super) fn whole<N: FromStr + PartialOrd + Display + Clone + Send + Sync + 'static>(
    least: N,
    most: Option<N>,
) -> impl Fn(&str) -> Result<N, String> + Clone + Send + Sync + 'static {
    move |text| {
        let up = match &most {
            Some(most) => format!("to {most}"),
            None => "up".to_string(),
        };
        text.parse()
            .ok()
            .filter(|number| *number >= least && most.as_ref().is_none_or(|most| number <= most))
            .ok_or_else(|| format!("a whole number from {least} {up} is wanted"))
    }
}
