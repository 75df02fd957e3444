//! `settings`: what carries over, what is recomputed, what must be measured again, and why.

use std::process::ExitCode;

use dossier::screens;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// What to print of the settings.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Which {
    /// An area (such as sensors), a setting or whose it is (such as "hot end"), to show with its reasons
    #[arg(value_name = "NAME", conflicts_with_all = ["gcode", "build_sheet", "all"])]
    pub name: Option<String>,
    /// Print the program for a running controller
    #[arg(long, conflicts_with = "build_sheet")]
    pub gcode: bool,
    /// Print the sheet of what is compiled or configured in
    #[arg(long, alias = "sheet")]
    pub build_sheet: bool,
    /// Show each setting with its reason, those that are carried over too
    #[arg(long, conflicts_with_all = ["gcode", "build_sheet"])]
    pub all: bool,
}

/// Prints the settings, or one of the texts that are made from them.
pub fn run(args: &Args, board: &BoardArg, which: &Which, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let settings = ::settings::settings(&plan.setup());
    if let Some(name) = &which.name {
        let meant = screens::settings_meant(&settings, name).ok_or_else(|| {
            let areas = screens::setting_areas().join(", ").to_lowercase();
            let help = format!("name a setting, whose it is, or one of {areas}");
            Trouble::user(format!("no setting has the name `{name}`"), help)
        })?;
        if args.json {
            out.json(&meant)?;
        } else {
            out.document(&screens::settings_named(&plan, &meant, name));
        }
        return Ok(ExitCode::SUCCESS);
    }
    match (which.gcode, which.build_sheet, args.json) {
        (true, _, _) => out.line(::settings::gcode(&settings).trim_end()),
        (_, true, true) => out.json(&::settings::build_sheet(&settings))?,
        (_, true, false) => out.document(&screens::build(&plan, &settings)),
        (_, _, true) => out.json(&settings)?,
        _ => out.document(&screens::settings(&plan, &settings, which.all)),
    }
    Ok(ExitCode::SUCCESS)
}
