//! What has to be bought for a plan: of its leads, and of its findings that a part mends.

use crate::decisions::plan::Plan;
use crate::facts::shopping::{Shopping, shopping_for};
use crate::rules::judging::Finding;

/// What has to be bought for a plan. Devices that are new are listed too: each board needs the ones that it connects.
#[must_use]
pub fn shopping(plan: &Plan<'_>) -> Shopping {
    let purpose = |finding: &Finding| {
        let subject = &finding.subject;
        let named = subject.device.as_ref().or(subject.other.as_ref());
        named.cloned().unwrap_or_default()
    };
    let mended = plan
        .findings
        .iter()
        .flat_map(|finding| finding.parts.iter().map(move |part| (part, purpose(finding))));
    shopping_for(&plan.facts(), mended)
}
