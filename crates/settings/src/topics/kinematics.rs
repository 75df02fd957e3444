//! How the axes move the nozzle: the machine decides it, no board changes it.

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let machine = &job.setup.swap.machine;
    list.push(
        Draft::new(
            Topic::Kinematics,
            "machine",
            Fate::Carried,
            "The mechanics stay as they are.",
        )
        .old(Some(Old {
            value: SettingValue::words(machine.kinematics.word()),
            from: "the machine file".to_owned(),
        }))
        .value(SettingValue::words(machine.kinematics.word())),
    );
}
