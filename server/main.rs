//! Reads the settings, opens the store, serves, shuts down.

use clap::Parser as _;
use std::{io::Write as _, process::ExitCode};
use stillair::settings::Cli;

fn main() -> ExitCode {
    let cli = Cli::parse();
    tracing_subscriber::fmt()
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_env("STILLAIR_LOG")
                .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("warn")),
        )
        .with_writer(std::io::stderr)
        .init();
    // Half the cores serve; the other half are left to the book's own threads (one a connection to SQLite) and to work
    // that takes long. More that serve would mostly wake each other.
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads((cores / 2).max(1))
        .enable_all()
        .build();
    let done = match runtime {
        Ok(runtime) => runtime.block_on(stillair::command::run(cli.command)),
        Err(error) => Err(format!("The program could not start its threads: {error}.")),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            let _ = writeln!(std::io::stderr(), "{sentence}");
            ExitCode::FAILURE
        }
    }
}
