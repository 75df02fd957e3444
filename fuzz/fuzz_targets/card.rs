//! Any bytes as the first sectors of a card of 4 MiB: refused, or read to an end with every entry in a folder that was listed.
#![no_main]

use image::card::medium::read;
use libfuzzer_sys::fuzz_target;
use quantity::Memory;

fuzz_target!(|bytes: &[u8]| {
    let mut medium = vec![0u8; 4 << 20];
    let length = bytes.len().min(medium.len());
    medium[..length].copy_from_slice(&bytes[..length]);
    let Ok(card) = read(&mut medium.as_slice(), Memory::from_bytes(28)) else { return };
    for entry in &card.entries {
        assert!(!entry.name.contains('\0'));
        assert!(entry.sha256.is_none() || entry.size == 28);
    }
    if let Some(damage) = &card.damage {
        assert!(damage.faults.len() <= damage.count);
    }
});
