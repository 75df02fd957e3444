//! The cautions: one wording for every document.

/// Said at the top of every document.
pub(crate) const ALWAYS: [&str; 5] = [
    "Mains and supply wiring belong to a qualified person and local codes. Where this page and a local code differ, the code counts.",
    "Work on cables with the machine unplugged from the mains, not merely switched off. Wait until the supply has discharged, and \
     prove with a meter that nothing is left before you touch a conductor.",
    "Hot end and bed burn skin, and stay hot long after power is gone. Axes move without warning, and start by themselves once \
     power is on: keep hands, hair and sleeves away.",
    "First heating is done under watch: one person stays, within reach of the plug, with nothing that burns nearby and a means to \
     put a fire out. Never leave a machine alone until it has proved itself.",
    "This page states what was computed from the files that are named at its end. It does not state that a machine is safe.",
];

/// Said where wiring begins.
pub(crate) const BEFORE_WIRING: &str = "Unplug the machine from the mains and wait until the supply has discharged before you touch a cable. Keep the old board and \
     its settings until the new one has proved itself. Wear eye protection when you cut wire.";
