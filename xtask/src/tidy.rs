//! Holds the house in order; the tests of this package run the same checks.

use crate::{arrows, licences, limits, modules, pages};

/// Runs every check and reports all that is wrong.
pub fn run() -> Result<(), String> {
    let faults = faults()?;
    if faults.is_empty() {
        println!("tidy");
        return Ok(());
    }
    Err(format!("{} untidy:\n{}", faults.len(), faults.join("\n")))
}

fn faults() -> Result<Vec<String>, String> {
    let metadata = arrows::metadata()?;
    let mut faults = arrows::faults(&metadata);
    faults.extend(modules::faults()?);
    faults.extend(licences::faults(&metadata));
    faults.extend(pages::faults()?);
    faults.extend(limits::faults()?);
    Ok(faults)
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_house_is_in_order() {
        let faults = super::faults().unwrap();
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}
