//! What is left to do about a finding, and where the plan deals with it.

use serde::Serialize;

use crate::facts::harness::ActionKind;

/// What is left to do about a finding.
///
/// A plan that has just been made takes every caution as open: that it is handled is known once its wiring table, settings and steps were
/// looked at ([`crate::Plan::settled`]). What nobody looked at never counts as handled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Disposition {
    /// It passes, or is worth knowing: nothing is left to do.
    #[default]
    NothingToDo,
    /// The plan deals with it; [`crate::Finding::handled_by`] says where.
    Handled,
    /// Somebody accepted it, as `swap.toml` says with reason and name.
    Accepted,
    /// A limit of the machine: no controller board changes it.
    AsTheMachineIs,
    /// A person has to buy, change or accept something.
    ToDecide,
}

impl Disposition {
    /// The words on pages.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Disposition::NothingToDo => "nothing to do",
            Disposition::Handled => "handled by the plan",
            Disposition::Accepted => "accepted",
            Disposition::AsTheMachineIs => "limit of the machine",
            Disposition::ToDecide => "to decide",
        }
    }
}

/// A place of the plan that deals with a finding. Taken out of the plan, the finding is open again.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case", tag = "in")]
pub enum Handling {
    /// Work on a cable, in its row of the wiring table.
    Wiring {
        /// The tag of the row.
        tag: String,
        /// The work.
        work: ActionKind,
        /// The part that it fits, where the finding asks for one.
        #[serde(skip_serializing_if = "Option::is_none")]
        part: Option<String>,
    },
    /// The new value of a setting.
    Setting {
        /// Its identifier: `direction:MX`.
        id: String,
    },
    /// A step of the bring-up.
    Step {
        /// Its family: `switch`.
        family: String,
        /// The tag it is about; the whole machine where there is none.
        #[serde(skip_serializing_if = "Option::is_none")]
        of: Option<String>,
    },
}

impl Handling {
    /// Work on the cable of a device.
    #[must_use]
    pub fn wiring(tag: &str, work: ActionKind) -> Self {
        Self::Wiring {
            tag: tag.to_owned(),
            work,
            part: None,
        }
    }
    /// The setting of that topic for a part.
    #[must_use]
    pub fn setting(topic: &str, of: &str) -> Self {
        Self::Setting {
            id: format!("{topic}:{}", of.replace(' ', "-")),
        }
    }
    /// The step of that family about a device.
    #[must_use]
    pub fn step(family: &str, of: &str) -> Self {
        Self::Step {
            family: family.to_owned(),
            of: Some(of.to_owned()),
        }
    }
    /// Where it stands, in words: "fuse in the row of H1", "setting direction:MX", "step switch:LX".
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Wiring {
                tag,
                part: Some(part),
                ..
            } => format!("wiring row {tag}: {part}"),
            Self::Wiring { tag, work, .. } => format!("wiring row {tag}: {}", work.word()),
            Self::Setting { id } => format!("setting {id}"),
            Self::Step { family, of: Some(of) } => format!("step {family}:{of}"),
            Self::Step { family, of: None } => format!("step {family}"),
        }
    }
}
