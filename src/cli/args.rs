use super::as_left::AsLeft;
use super::check::Check;
use super::completions::Completions;
use super::correct::Correct;
use super::export::Export;
use super::fleet::FleetArguments;
use super::import::Import;
use super::key::Key;
use super::lint::Lint;
use super::new_unit::New;
use super::practise::Practise;
use super::procedures::Procedures;
use super::reckon::Reckon;
use super::schema::Schema;
use super::sign::Sign;
use super::words::Words;
use crate::quantity::Units;
use crate::sheet::Paper;
use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::fmt::Display;
use std::path::PathBuf;
use std::str::FromStr;

/// Walks a workshop through the rebuild of a plate-type limited-slip differential, does the arithmetic, and prints
/// the build sheet. The maker's manual, local rules and a qualified person come first.
#[derive(Parser)]
#[command(name = "shimwright", version, after_help = EXIT_CODES)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub command: Option<Command>,
    #[command(flatten)]
    pub book: Book,
}

const EXIT_CODES: &str = "Exit codes: 0 done, 1 failed, 2 arguments not understood, 3 a file has faults, \
4 answers not taken, 5 book not readable or altered, 6 build open elsewhere, 7 left unfinished, 8 no such build or word, \
9 a value is outside what the formula allows, 10 nothing fits, 11 a seal does not hold, 12 not all is proved";

const RECKON_EXIT_CODES: &str = "Exit codes: 0 done, 2 an argument can not be read (no unit, a unit of another kind), \
3 a data file has faults, 9 a value is outside what the formula allows";

#[derive(Subcommand)]
pub(super) enum Command {
    /// Do a job on a unit, one question at a time
    Work(Work),
    /// Describe a unit by questions, and write its file
    NewUnit(New),
    /// Choose plates and shims from readings in a file
    Choose(Choose),
    /// Settle what the car needs of its unit before it is opened: ramps, faces, preload
    Settle(Settle),
    /// Find every fault of TOML files, with line and key
    Lint(Lint),
    /// Print the JSON Schema of a kind of TOML file, for editors
    Schema(Schema),
    /// List the stock procedures, or show one step by step
    Procedures(Procedures),
    /// Print the sheet of a build, finished or not, or a form to fill in by hand
    Sheet(Sheet),
    /// List what is in the book
    Builds(Builds),
    /// List all units of the book, what needs work first
    Fleet(FleetArguments),
    Sign(Sign),
    Check(Check),
    Correct(Correct),
    Key(Key),
    AsLeft(AsLeft),
    /// Say how a unit wears from build to build, and when it will be at a limit
    Wear(Wear),
    /// Set two builds side by side: what changed, and by how much
    Between(Between),
    /// Write the builds of the book as a table for other programs
    Export(Export),
    /// Take old paper records of a unit into the book, from a table
    Import(Import),
    /// Work out one figure: a spring, a pack, a ramp, a bolt, a reading
    #[command(after_help = RECKON_EXIT_CODES)]
    Reckon(Reckon),
    /// Say what a word of the trade means
    Words(Words),
    /// Practise on a made-up unit with hidden faults
    Practise(Practise),
    /// Do a whole rebuild of an invented unit with scripted answers
    Demo(Demo),
    /// Print what makes a shell complete the commands
    Completions(Completions),
    /// Print the manual page
    Man,
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
}

#[derive(Args)]
pub(super) struct Work {
    /// A procedure, as `shimwright procedures` lists them, or the path of a TOML file
    pub procedure: String,
    /// The unit's TOML file
    pub unit: PathBuf,
    #[command(flatten)]
    pub asking: Asking,
    /// Type in a form that was filled in by hand: short prompts with the numbers of its boxes
    #[arg(long)]
    pub from_paper: bool,
    #[command(flatten)]
    pub beside: Beside,
    /// A setting that `settle --write` wrote: what the unit is to be rebuilt to
    #[arg(long, value_name = "FILE")]
    pub setting: Option<PathBuf>,
    /// Begin a new build even where an unfinished one could be gone on with
    #[arg(long)]
    pub new: bool,
    /// Start a new build from what the unit's file lists, not from what the last build left in the unit
    #[arg(long)]
    pub as_listed: bool,
    /// The time to write down, as 2026-05-01T10:00:00Z or 2026-05-01: for paper notes that are typed in later
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    #[command(flatten)]
    pub signing: Signing,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object at the end, and nothing else
    #[arg(long, requires = "answers")]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Choose {
    /// The unit's TOML file
    pub unit: PathBuf,
    /// The readings of plates, rings, depth and springs, as a TOML file
    #[arg(long, value_name = "FILE")]
    pub readings: PathBuf,
    #[command(flatten)]
    pub beside: Beside,
    /// What comes first
    #[arg(long, value_parser = ["fewest", "closest", "surest", "reuse"], default_value = "fewest")]
    pub first: String,
    /// A plate that must go in on a side, as G1=left; may be given several times
    #[arg(long, value_name = "PLATE=SIDE")]
    pub keep: Vec<String>,
    /// A shim thickness or a plate that is not to be used; may be given several times
    #[arg(long, value_name = "SHIM OR PLATE")]
    pub without: Vec<String>,
    /// Draw the windows in by the guard band of the unit's confidence
    #[arg(long)]
    pub guard: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Settle {
    /// The car's TOML file
    pub car: PathBuf,
    /// A use: gravel-stage, tarmac-stage, snow-and-ice, hillclimb, slalom, circuit, drift, or the path of a TOML file
    #[arg(long = "use", value_name = "USE")]
    pub wanted: String,
    /// The unit's TOML file; what else it can be built with stands in its [offer]
    #[arg(long, value_name = "FILE")]
    pub unit: PathBuf,
    /// What the driver says: "pushes on entry", "pushes on power", "inside wheel spins", "snaps on lift", "chatters when
    /// turning slowly", "does nothing"; may be given several times
    #[arg(long, value_name = "WORDS")]
    pub complaint: Vec<String>,
    /// Which of the proposals is taken for --write and --sheet
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole(1_u32, None))]
    pub take: u32,
    /// Write the setting that was taken to this file, for `work --setting`
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Write a page for the driver to this file, as PDF
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// How values are shown on that page
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// The day that is written down, as 2026-05-01; by default today
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Sheet {
    /// The build's name in the book
    #[arg(required_unless_present = "blank")]
    pub build: Option<String>,
    /// Instead of a build: the procedure as a form for this unit, to fill in by hand
    #[arg(long, num_args = 2, value_names = ["PROCEDURE", "UNIT"], conflicts_with_all = ["build", "json"])]
    pub blank: Option<Vec<String>>,
    /// The units of measure of a form
    #[arg(long, value_enum, default_value = "metric", conflicts_with = "build")]
    pub units: UnitsWord,
    /// The drawer of a form, instead of the one that the unit file names
    #[arg(long, value_name = "FILE", conflicts_with = "build")]
    pub drawer: Option<PathBuf>,
    /// The instruments of a form, instead of those that the unit file names
    #[arg(long, value_name = "FILE", conflicts_with = "build")]
    pub instruments: Option<PathBuf>,
    /// Paper size
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// Where to write it, - for the standard output; by default BUILD.pdf, or UNIT-PROCEDURE.pdf for a form, in this folder
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there; an older sheet of the same build, or form, is written over without it
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Builds {
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Wear {
    /// The unit's id in the book, or the path of its TOML file
    pub unit: String,
    /// Say what to do about wear so far after the last build, such as "1500 km" or "20 h"; by default where a limit may be met
    /// at the earliest
    #[arg(long, value_name = "DISTANCE", conflicts_with = "csv")]
    pub after: Option<String>,
    /// The drawer of shims and spares, instead of the one that the last build was begun with
    #[arg(long, value_name = "FILE", conflicts_with = "csv")]
    pub drawer: Option<PathBuf>,
    /// Write all of it on one page to this file, as PDF
    #[arg(long, value_name = "FILE", conflicts_with = "csv")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
    /// Report every measured value as a line of CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Read every journal again instead of what was kept of it
    #[arg(long)]
    pub afresh: bool,
}

#[derive(Args)]
pub(super) struct Between {
    /// The earlier build's name in the book
    pub before: String,
    /// The later build's name
    pub after: String,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Demo {
    /// Play four builds of the unit, years apart, into a book under output, for wear and between to look at
    #[arg(long, conflicts_with_all = ["replace", "files"])]
    pub history: bool,
    /// Write the invented files of the demonstration into this folder, for commands to be tried on: unit, drawer,
    /// instruments, car, readings, answers
    #[arg(long, value_name = "DIR")]
    pub files: Option<PathBuf>,
    /// Write over a file that is there; the demonstration's own sheet is written over without it
    #[arg(long)]
    pub replace: bool,
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

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum UnitsWord {
    Metric,
    Inch,
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
