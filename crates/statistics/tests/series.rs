//! A series that everybody can make.

/// NIST SP 1065, p. 107: a series that everybody can make.
pub fn thousand() -> Vec<f64> {
    let mut n: u64 = 1_234_567_890;
    let mut out = Vec::new();
    for _ in 0..1000 {
        out.push(n as f64 / 2_147_483_647.0);
        n = n * 16_807 % 2_147_483_647;
    }
    out
}
