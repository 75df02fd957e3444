//! The words of the command line.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

/// The workbench for whoever replaces the controller board of a filament printer.
///
/// A swap is a folder of plain text files: the machine, its old board, the candidate boards, the wishes. Boardswap computes from it
/// which board fits, where every lead goes, what must be changed, and in which order to bring the machine up.
///
/// It never states that a machine is safe. Mains and supply wiring belong to a qualified person and local codes.
#[derive(Debug, Parser)]
#[command(
    name = "boardswap",
    version,
    propagate_version = true,
    arg_required_else_help = true,
    max_term_width = 100
)]
pub struct Args {
    /// The folder of the swap
    #[arg(short = 'C', long, global = true, value_name = "FOLDER", default_value = ".")]
    pub folder: PathBuf,
    /// Print JSON in place of text
    #[arg(long, global = true)]
    pub json: bool,
    /// When to use colour
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: Color,
    #[command(subcommand)]
    pub command: Command,
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
    /// Lay out the folder of a new swap, with commented files to fill in
    Start {
        /// The folder to make
        folder: PathBuf,
    },
    /// Plan one board and show what the checks say (exit code 1 where there is a blocker)
    Check {
        #[command(flatten)]
        board: BoardArg,
        /// Show what passes too
        #[arg(long)]
        all: bool,
    },
    /// Set the candidate boards side by side, best first
    Compare,
    /// The table of leads: where each goes and what to do with it
    Wire {
        #[command(flatten)]
        board: BoardArg,
        /// How many next-best assignments to show
        #[arg(long, value_name = "COUNT", default_value_t = 0)]
        alternatives: usize,
    },
    /// What carries over, what is recomputed, what must be measured again, and why
    Settings {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        which: crate::commands::Which,
    },
    /// The bring-up, step by step, with the readings to expect
    Steps {
        #[command(flatten)]
        board: BoardArg,
    },
    /// Write everything about one board: a page to open and print, Markdown, pictures, tables
    Dossier {
        #[command(flatten)]
        board: BoardArg,
        /// The folder to write to; without it `out` in the folder of the swap
        #[arg(long, value_name = "FOLDER")]
        out: Option<PathBuf>,
    },
    /// What measurements mean: all of the swap, or one file by itself (exit code 1 where one fails)
    Evidence {
        #[command(flatten)]
        board: BoardArg,
        /// The kind of a file that belongs to no swap, such as temperature-log
        #[arg(requires = "file", value_name = "KIND", long_help = kinds())]
        kind: Option<String>,
        /// That file
        #[arg(value_name = "FILE")]
        file: Option<PathBuf>,
        /// What the file does not tell, as an entry in swap.toml would, such as `channel=B`
        #[arg(long = "key", value_name = "KEY=VALUE", requires = "file")]
        keys: Vec<String>,
        /// A second file of that kind, from another board, to compare it with
        #[arg(long, value_name = "FILE", requires = "file")]
        against: Option<PathBuf>,
        /// A folder to write the pictures to
        #[arg(long, value_name = "FOLDER")]
        pictures: Option<PathBuf>,
    },
    /// Check a firmware image against a board, and the card it is loaded from (exit code 1 where one fails)
    Image {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        which: crate::commands::WhichImage,
    },
    /// Open a number: `why FINDING`, or why a device is not at a port: `why TAG PORT`
    Why {
        #[command(flatten)]
        board: BoardArg,
        /// A finding, or a tag and a port (`F2 HEAT1`, or `F2 not on HEAT1`)
        #[arg(required = true, num_args = 1..=4, value_name = "WHAT")]
        what: Vec<String>,
    },
    /// Beside the worst case: how likely each limit holds, and which tolerance costs most
    Chance {
        #[command(flatten)]
        board: BoardArg,
        #[command(flatten)]
        how: crate::commands::How,
    },
    /// Print the JSON Schema of a kind of file: swap, machine or board
    Schema {
        /// Which kind
        #[arg(value_name = "KIND")]
        kind: String,
    },
    /// Write the invented demonstration swap with its dossier, and show the choice
    Demo {
        /// The folder to make
        #[arg(default_value = "boardswap-demo")]
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
            Command::Start { .. } | Command::Schema { .. } | Command::Completions { .. } | Command::Man
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
    let words = model::EvidenceKind::ALL
        .iter()
        .map(|kind| kind.word().replace(' ', "-"));
    format!(
        "The kind of a file that belongs to no swap. The kinds are {}; their columns stand in docs/handbook/evidence",
        words.collect::<Vec<_>>().join(", ")
    )
}
