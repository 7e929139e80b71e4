//! Every setting: its name, unit, default and meaning. Each is a command-line option and an environment variable.

use clap::{Parser, Subcommand};
use std::{net::SocketAddr, path::PathBuf};

/// Where the program listens unless told otherwise: this machine only.
pub const LISTEN: &str = "127.0.0.1:8460";

/// How long a reader may take nothing, in seconds, unless told otherwise.
pub const STALLED_S: u64 = 30;

/// A shared effects-prep workbook for crews who shoot effects in miniature.
#[derive(Debug, Parser)]
#[command(name = "stillair", version, disable_help_subcommand = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What the program can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the demo plan from a throw-away store, and print the link that signs you in as lead.
    Demo {
        /// Address and port to listen on.
        #[arg(long, env = "STILLAIR_LISTEN", default_value = LISTEN)]
        listen: SocketAddr,
    },
    /// Serve the plan book in a folder; an empty folder becomes a new book, and the lead's link is printed.
    Serve {
        /// Folder of the plan book.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
        /// Address and port to listen on.
        #[arg(long, env = "STILLAIR_LISTEN", default_value = LISTEN)]
        listen: SocketAddr,
        /// Print a new lead's link although the book is not empty: a passphrase was forgotten.
        #[arg(long)]
        link: bool,
        /// Believe X-Forwarded-For and X-Forwarded-Proto, which a proxy in front sets; without one anybody could.
        #[arg(long, env = "STILLAIR_BEHIND_PROXY")]
        behind_proxy: bool,
        /// Seconds after which a reader that takes nothing is cut off; it comes back and catches up.
        #[arg(long, env = "STILLAIR_STALLED_S", default_value_t = STALLED_S)]
        stalled_s: u64,
        /// Give every write a commit of its own. Slower and no more durable: there to measure what sharing commits brings.
        #[arg(long, env = "STILLAIR_ONE_COMMIT", hide = true)]
        one_commit: bool,
    },
    /// Copy a plan book, while it is in use, into one file.
    Backup {
        /// Folder of the plan book.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
        /// File to write.
        file: PathBuf,
    },
    /// Put a backup into an empty folder. Numbers may repeat after that, so the book gets a new epoch.
    Restore {
        /// Folder of the new plan book.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
        /// File to read.
        file: PathBuf,
    },
    /// Read the whole book and its journal, and say whether they agree.
    Check {
        /// Folder of the plan book.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
    },
    /// Write a list out of a plan: shots.csv, setups.csv or plan.json.
    Export {
        /// Folder of the plan book; nobody may be serving it meanwhile.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
        /// Title of the plan, or its id.
        plan: String,
        /// What to write: shots.csv, setups.csv or plan.json.
        kind: String,
        /// File to write; to the terminal if left out.
        file: Option<PathBuf>,
    },
    /// Bring a shot list into a plan: all of it, or nothing and every fault by line and column.
    Import {
        /// Folder of the plan book; nobody may be serving it meanwhile.
        #[arg(long, env = "STILLAIR_DATA")]
        data: PathBuf,
        /// Title of the plan, or its id.
        plan: String,
        /// CSV or .xlsx to read.
        file: PathBuf,
    },
}
