//! The words of the command line.

use std::path::PathBuf;
use std::sync::LazyLock;

use clap::builder::PossibleValuesParser;
use clap::{Parser, Subcommand, ValueHint};

/// The workbench for whoever replaces the controller board of a filament printer.
///
/// A swap is a folder of plain text files: the machine, its old board, the candidate boards, the wishes. Boardswap computes from it
/// which board fits, where every lead goes, what must be changed, and in which order to bring the machine up.
///
/// Without a command it tells where the swap stands and what comes next.
///
/// It never states that a machine is safe. Mains and supply wiring belong to a qualified person and local codes.
#[derive(Debug, Parser)]
#[command(name = "boardswap", version, propagate_version = true, max_term_width = 100)]
pub struct Args {
    /// The folder of the swap
    #[arg(short = 'C', long, global = true, value_name = "FOLDER", default_value = ".", value_hint = ValueHint::DirPath)]
    pub folder: PathBuf,
    /// Print JSON in place of text
    #[arg(long, global = true)]
    pub json: bool,
    /// When to use colour
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: Color,
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum Color {
    /// On a terminal.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

impl Color {
    /// Tells the output streams.
    pub fn write_global(self) {
        let choice = match self {
            Color::Auto => anstream::ColorChoice::Auto,
            Color::Always => anstream::ColorChoice::Always,
            Color::Never => anstream::ColorChoice::Never,
        };
        choice.write_global();
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Create a swap folder with commented template files
    #[command(alias = "start")]
    New {
        /// The folder to make
        #[arg(value_hint = ValueHint::DirPath)]
        folder: PathBuf,
    },
    /// Ask for the machine and the new board, one question after the other; goes on where it was left
    Survey,
    /// The board died and a print is due: some forty questions, then one page to wire, set and check by
    Today,
    /// Print a board file of what its maker publishes: drawings, Gerber layers, drill files, tables of pins
    Import {
        /// DXF, Gerber and drill files of one board; tables of its pins as CSV, tabs, HTML or Markdown
        #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
        files: Vec<PathBuf>,
        /// The unit of drawings that state none
        #[arg(long, value_name = "UNIT")]
        unit: Option<crate::commands::Told>,
    },
    /// Check one board and show what is to be decided; exit code 1 if there is a blocker
    Check {
        #[command(flatten)]
        board: BoardArg,
        /// Show every finding in full: notes, passes and what was accepted too
        #[arg(long)]
        all: bool,
    },
    /// Show which unknown fact to find out next, or write an answer into its file
    Ask {
        #[command(flatten)]
        board: BoardArg,
        /// An answer, such as 'H1.wire=20 AWG'
        #[arg(value_name = "FACT=VALUE")]
        answer: Option<String>,
        /// How it was found, for a comment beside it
        #[arg(long, value_name = "TEXT", requires = "answer")]
        how: Option<String>,
        /// List every question
        #[arg(long, conflicts_with = "answer")]
        all: bool,
    },
    /// Rank the candidate boards
    Compare,
    /// Print the wiring table: port and work for each cable
    #[command(alias = "wire")]
    Wiring {
        #[command(flatten)]
        board: BoardArg,
        /// How many of the next-best port assignments to show
        #[arg(long, value_name = "COUNT", default_value_t = 0)]
        alternatives: usize,
    },
    /// List what changes in the settings: recalculated, to be measured, new
    Settings {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        which: crate::commands::Which,
    },
    /// List the bring-up steps with the expected readings
    Steps {
        #[command(flatten)]
        board: BoardArg,
        /// The way back instead: the old board in again
        #[arg(long)]
        back: bool,
    },
    /// Work through the bring-up, one step a screen: confirm, read, record; goes on where it was left
    #[command(name = "bring-up")]
    BringUp {
        #[command(flatten)]
        board: BoardArg,
        /// Who reads; without it the one who read last, else it is asked for
        #[arg(long, value_name = "NAME")]
        who: Option<String>,
        /// List each step and row with where it stands, and record nothing
        #[arg(long)]
        list: bool,
    },
    /// Show what the bring-up recorded, export it, or take up an export
    Record {
        /// Write it to a file instead: .csv for a spreadsheet, .jsonl to be taken up again
        #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with = "import")]
        export: Option<PathBuf>,
        /// Take up an export of .jsonl where nothing is recorded yet
        #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
        import: Option<PathBuf>,
    },
    /// Write the report of one board: a page to open and print, Markdown, pictures, tables
    #[command(alias = "dossier")]
    Report {
        #[command(flatten)]
        board: BoardArg,
        /// The folder to write to; without it `out` in the folder of the swap
        #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
        out: Option<PathBuf>,
    },
    /// Write what you can publish about two boards on one machine, with brackets for what only you know
    Guide {
        /// The two candidate boards, with a comma between them
        #[arg(
            long,
            value_name = "A,B",
            value_delimiter = ',',
            required_unless_present = "publish"
        )]
        boards: Vec<String>,
        /// The folder to write to; without it `guide` in the folder of the swap
        #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
        out: Option<PathBuf>,
        /// Check a finished guide instead; exit code 1 while a bracket is open
        #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with_all = ["boards", "out"])]
        publish: Option<PathBuf>,
    },
    /// Evaluate all measurements of the swap, or a single file; exit code 1 if one fails
    #[command(alias = "evidence")]
    Measurements {
        #[command(flatten)]
        board: BoardArg,
        /// The kind of a file that belongs to no swap, such as temperature-log
        #[arg(requires = "files", value_name = "KIND", long_help = kinds(), hide_possible_values = true, value_parser = PossibleValuesParser::new(kind_words()))]
        kind: Option<String>,
        /// That file, `-` for standard input; several temperature logs of one part are compared run by run
        #[arg(value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Values missing from the file, as an entry in swap.toml would give them, such as `channel=B`
        #[arg(long = "set", alias = "key", value_name = "KEY=VALUE", requires = "files")]
        keys: Vec<String>,
        /// A second file of that kind, from another board, to compare it with
        #[arg(long, alias = "against", value_name = "FILE", requires = "files", value_hint = ValueHint::FilePath)]
        compare_with: Option<PathBuf>,
        /// A folder to write the pictures to
        #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
        pictures: Option<PathBuf>,
        /// Show every figure, table and method
        #[arg(long)]
        all: bool,
        /// Show every figure, table and method of one file that swap.toml names
        #[arg(long, value_name = "FILE", conflicts_with_all = ["kind", "all"], value_hint = ValueHint::FilePath)]
        only: Option<String>,
    },
    /// Check what your own G-code demands of each board; exit code 1 if a limit is exceeded, 2 if a file is refused
    Workload {
        #[command(flatten)]
        board: BoardArg,
        /// G-code files, archives of them (gzip, zip, zstd) or folders; without them those that swap.toml names
        #[arg(value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Show what passes too, and each file
        #[arg(long)]
        all: bool,
        /// A folder to write the pictures to
        #[arg(long, value_name = "FOLDER")]
        pictures: Option<PathBuf>,
    },
    /// Check a firmware image against a board, and the card it is loaded from; exit code 1 if a check fails
    Image {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        which: crate::commands::WhichImage,
    },
    /// Show how a value was calculated (`explain FINDING`), or why a port was rejected (`explain TAG PORT`)
    #[command(alias = "why")]
    Explain {
        #[command(flatten)]
        board: BoardArg,
        /// A finding, or a tag and a port (`F2 HEAT1`, or `F2 not on HEAT1`)
        #[arg(required = true, num_args = 1..=4, value_name = "WHAT")]
        what: Vec<String>,
    },
    /// Monte Carlo tolerance analysis of every limit
    #[command(alias = "chance")]
    Tolerance {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        how: crate::commands::How,
    },
    /// Print the JSON Schema of a kind of file (swap, machine, board, words) or of what --json prints (output)
    Schema {
        /// Which kind
        #[arg(value_name = "KIND", value_parser = PossibleValuesParser::new(model::SCHEMAS.into_iter().chain([crate::out::SCHEMA])))]
        kind: String,
    },
    /// Write the invented demonstration swap with its report, and show the recommended board
    Demo {
        /// The folder to make
        #[arg(default_value = "boardswap-demo", value_hint = ValueHint::DirPath)]
        folder: PathBuf,
    },
    /// Print completions for a shell
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

impl Command {
    /// Whether it plans a board, and so needs the tables.
    pub fn plans(&self) -> bool {
        !matches!(
            self,
            Command::New { .. }
                | Command::Import { .. }
                | Command::Record { .. }
                | Command::Schema { .. }
                | Command::Completions { .. }
                | Command::Man
        )
    }
}

/// Which board.
#[derive(Debug, clap::Args)]
pub struct BoardArg {
    /// The candidate board; without it the chosen one, else the best of the comparison
    #[arg(short, long, value_name = "NAME")]
    pub board: Option<String>,
}

/// The help of the kind of a measurement: each with its columns or text, which the handbook explains.
fn kinds() -> String {
    format!(
        "The kind of a file that belongs to no swap. The kinds are {}; their columns stand in docs/handbook/evidence",
        kind_words().join(", ")
    )
}

/// The kinds of measurements as the command line writes them, for the parser and for completion.
fn kind_words() -> Vec<&'static str> {
    static WORDS: LazyLock<Vec<String>> = LazyLock::new(|| {
        let kinds = model::EvidenceKind::ALL.iter();
        kinds.map(|kind| kind.word().replace(' ', "-")).collect()
    });
    WORDS.iter().map(String::as_str).collect()
}
