//! The command line of Boardswap: thin; files, time and terminal live here.
//!
//! Each command is one file of `commands`. They load the swap, ask the core, and print text or JSON. Exit codes: 0 done,
//! 1 the plan has blockers (command `check`), or none is chosen and each candidate has, 2 a fault in what the user gave, 3 trouble of the machine (disk, permissions).

mod args;
mod busy;
mod commands;
mod disk;
mod exchange;
mod faults;
mod litter;
mod moment;
mod out;
mod template;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let args = match args::Args::try_parse() {
        Ok(args) => args,
        Err(error) => {
            // Asking for help is no fault; anything else is one of the user's words.
            let code = if error.use_stderr() { 2 } else { 0 };
            if code == 2 && std::env::args().any(|argument| argument == "--json") {
                let problem = error.render().to_string();
                let problem = problem.trim().trim_start_matches("error: ").to_owned();
                faults::Trouble::user(problem, None).print_json();
            } else {
                let _ = error.print();
            }
            return ExitCode::from(code);
        }
    };
    args.color.write_global();
    if args.command.as_ref().is_none_or(args::Command::plans) {
        // The tables take about as long to read as the swap; whoever asks for one that is being read waits for it.
        std::thread::spawn(|| catalogue::built_in().warm());
    }
    let mut out = out::Out::new();
    // The tolerance analysis counts for itself; the bring-up waits for a person.
    let counts = matches!(
        args.command,
        Some(args::Command::Tolerance { .. } | args::Command::BringUp { .. })
    );
    let busy = (!counts).then(busy::Busy::start);
    // Where no handler can be set, the signal ends the program as ever.
    let _ = ctrlc::set_handler(interrupted);
    let result = commands::run(&args, &mut out);
    drop(busy);
    let result = result.and_then(|code| out.finish().map(|()| code));
    match result {
        Ok(code) => code,
        Err(error) => {
            if args.json {
                error.print_json();
            } else {
                error.print();
            }
            error.code()
        }
    }
}

/// The first Ctrl-C in a search takes the best that it has; any other ends the program, which leaves nothing half written.
fn interrupted() {
    if plan::stop_search() {
        anstream::eprintln!("\nstopped: the best assignment so far is taken (Ctrl-C again quits)");
    } else {
        std::process::exit(130);
    }
}
