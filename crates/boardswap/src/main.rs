//! The command line of Boardswap: thin; files, time and terminal live here.
//!
//! Each command is one file of `commands`. They load the swap, ask the core, and print text or JSON. Exit codes: 0 done,
//! 1 the plan has blockers (command `check`), or none is chosen and each candidate has, 2 a fault in what the user gave, 3 trouble of the machine (disk, permissions).

mod args;
mod busy;
mod commands;
mod date;
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
    run(&args)
}

fn run(args: &args::Args) -> ExitCode {
    args.color.write_global();
    if args.command.as_ref().is_none_or(args::Command::plans) {
        // The tables take about as long to read as the swap; whoever asks for one that is being read waits for it.
        std::thread::spawn(|| catalogue::built_in().warm());
    }
    let mut out = out::Out::new();
    // The tolerance analysis counts for itself; bring-up and survey wait for a person.
    let counts = matches!(
        args.command,
        Some(
            args::Command::Tolerance { .. }
                | args::Command::BringUp { .. }
                | args::Command::Survey
                | args::Command::Today
        )
    );
    let busy = busy::Busy::start(!counts);
    // Where no handler can be set, the signal ends the program as ever.
    let _ = ctrlc::set_handler(interrupted);
    let result = commands::run(args, &mut out);
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

#[cfg(all(test, unix))]
mod tests {
    use std::io::{BufRead as _, BufReader, Read as _};
    use std::process::{Command, ExitCode, Stdio};

    use clap::Parser as _;

    const FOLDER: &str = "BOARDSWAP_TEST_FOLDER";

    /// 300 devices, 500 ports with rails and processor pins that are scarce: no search settles it.
    fn large(folder: &std::path::Path) {
        use std::fmt::Write as _;
        let mut state = 11_u64;
        let mut below = |end: u64| {
            // Knuth's multiplier and increment of a linear congruential generator, from memory.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % end
        };
        let mut machine = "name = \"Large\"\ninvented = true\ndevice = [\n".to_owned();
        machine += "{ tag = \"PS\", kind = \"supply\", voltage = 24, power = 2000 },\n";
        for at in 0..199 {
            let volts = [12, 12, 24, 5][below(4) as usize];
            let current = 60 + below(840);
            let _ = writeln!(
                machine,
                "{{ tag = \"F{at}\", kind = \"fan\", voltage = {volts}, current = \"{current} mA\" }},"
            );
        }
        for at in 0..60 {
            let _ = writeln!(machine, "{{ tag = \"L{at}\", kind = \"limit switch\" }},");
        }
        for at in 0..40 {
            let current = 800 + below(1200);
            let _ = writeln!(
                machine,
                "{{ tag = \"M{at}\", kind = \"motor\", current = \"{current} mA\" }},"
            );
        }
        machine += "]\n";
        let mut board = "name = \"Board\"\ninvented = true\n".to_owned();
        for (rail, current) in [("12", 30), ("5", 9)] {
            let _ = writeln!(
                board,
                "[rails.{rail}V]\nvoltage = \"{rail} V ± 2 %\"\nsource = \"switching\"\ncurrent = \"{current} A\""
            );
        }
        board += "[[port]]\nname = \"IN\"\nrole = \"supply input\"\ncurrent = \"100 A\"\n";
        for at in 0..499 {
            let _ = writeln!(board, "[[port]]\nname = \"P{at}\"");
            let pin = 1 + below(90);
            let _ = match at {
                0..320 => {
                    let rail = ["12V", "5V", "input"][below(3) as usize];
                    let current = 200 + below(1000);
                    let _ = writeln!(board, "role = \"switched output\"\ncurrent = \"{current} mA\"");
                    if below(2) == 0 {
                        let _ = writeln!(board, "processor_pin = \"G{pin}\"");
                    }
                    writeln!(board, "rail = \"{rail}\"")
                }
                320..440 => writeln!(board, "role = \"switch input\"\nprocessor_pin = \"G{pin}\""),
                _ => writeln!(
                    board,
                    "role = \"motor output\"\ncurrent = \"{} mA\"",
                    800 + below(1700)
                ),
            };
        }
        let swap = "invented = true\nold_board = \"?\"\ncandidates = [\"board.toml\"]\n";
        for (name, text) in [
            ("machine.toml", &machine[..]),
            ("board.toml", &board),
            ("swap.toml", swap),
        ] {
            std::fs::write(folder.join(name), text).unwrap();
        }
    }

    /// The program in the test below, with a search that only Ctrl-C ends; nothing where that did not start it.
    #[test]
    fn searches_until_it_is_stopped() {
        let Some(folder) = std::env::var_os(FOLDER) else {
            return;
        };
        plan::search_without_end();
        let mut words = vec![
            "boardswap".into(),
            "check".into(),
            "--board".into(),
            "Board".into(),
        ];
        words.extend(["-C".into(), folder]);
        let args = crate::args::Args::try_parse_from::<_, std::ffi::OsString>(words).unwrap();
        assert_eq!(crate::run(&args), ExitCode::from(1), "it has blockers");
    }

    /// A search that takes longer shows a sign; Ctrl-C behind it takes the best so far, and says how far from the best that may be.
    #[test]
    fn a_long_search_shows_a_sign_and_ctrl_c_takes_the_best_so_far() {
        let folder = tempfile::tempdir().unwrap();
        large(folder.path());
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "tests::searches_until_it_is_stopped", "--nocapture"])
            .env(FOLDER, folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut stdout = child.stdout.take().unwrap();
        let reads = std::thread::spawn(move || {
            let mut text = String::new();
            stdout.read_to_string(&mut text).map(|_| text)
        });
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let sign = lines.by_ref().map(Result::unwrap);
        let sign = sign.into_iter().find(|line| line.starts_with("searching"));
        assert!(sign.is_some_and(|sign| sign.contains("Ctrl-C takes the best so far")));
        let id = child.id().to_string();
        assert!(
            Command::new("kill")
                .args(["-s", "INT", &id])
                .status()
                .unwrap()
                .success()
        );
        let rest: Vec<String> = lines.map(Result::unwrap).collect();
        assert!(child.wait().unwrap().success(), "{rest:?}");
        assert!(
            rest.iter()
                .any(|line| line.starts_with("stopped: the best assignment so far")),
            "{rest:?}"
        );
        let text = reads.join().unwrap().unwrap();
        assert!(
            text.contains("Not proved best: the search was stopped, up to"),
            "{text}"
        );
    }
}
