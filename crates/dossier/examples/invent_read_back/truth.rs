//! What the new controller of the demonstration swap is made to report, and what is wrong with it.

use plan::Plan;
use settings::Dialect;

/// The board that reports.
pub const BOARD: &str = "Alder A4";

/// The setting that the controller did not take: what it was told, and what it reports.
pub const DIFFERS: (&str, &str, &str) = ("steps-per-length:E", "E414.6", "E400");

/// The word whose lines were lost on the way, where the terminal was closed too early.
pub const LOST: &str = "M350";

/// The report: the lines that the controller was told, as it would write them, with the two faults above.
pub fn read_back(plan: &Plan<'_>) -> String {
    let dialect = Dialect::common();
    let settings = settings::settings(&plan.setup(), dialect);
    let told = settings::gcode(&settings, dialect);
    let mut out = format!(
        "; Invented for this example, nothing was asked: what the new controller {BOARD} reports of its settings.\n\
         ; Traps to learn from: a value that was told and not taken, and lines that were lost.\n\
         > M503\n\
         report: the settings now in use\n"
    );
    for line in told.lines() {
        let command = line.split(';').next().unwrap_or("").trim();
        let is_setting = !command.is_empty() && command != "M503" && !command.starts_with(LOST);
        if is_setting {
            let reported = command.replace(DIFFERS.1, DIFFERS.2);
            out.push_str(&format!("report:  {reported}\n"));
        }
    }
    out.push_str("ok\n");
    out
}
