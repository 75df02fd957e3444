//! Money and memory: counted, never rounded.

use proptest::prelude::*;
use quantity::{Memory, Price, parse_memory, parse_price};

/// IEC 80000-13:2008, table of binary prefixes (kibi 2^10, mebi 2^20, gibi 2^30); from memory.
#[test]
fn binary_prefixes_are_powers_of_1024() {
    let bytes = |text: &str| parse_memory(text).expect("memory").bytes();
    assert_eq!(
        [bytes("1 KiB"), bytes("1 MiB"), bytes("1 GiB")],
        [1 << 10, 1 << 20, 1 << 30]
    );
    assert_eq!([bytes("1 kB"), bytes("1 MB"), bytes("7 B")], [1000, 1_000_000, 7]);
    assert_eq!(bytes("0.5 KiB"), 512);
}

#[test]
fn what_is_no_memory_is_refused() {
    for text in [
        "",
        "512",
        "512 K",
        "512 kib",
        "0.3 B",
        "-1 KiB",
        "1e30 GiB",
        "512 KiB more",
        "KiB",
    ] {
        let error = parse_memory(text).expect_err(text);
        assert!(text.get(error.span.clone()).is_some(), "{text}: {error:?}");
    }
    assert_eq!(
        parse_memory("512 K").expect_err("K").help.as_deref(),
        Some("did you mean `KiB`?")
    );
}

#[test]
fn what_is_no_price_is_refused() {
    for text in [
        "",
        "12",
        "12 eur",
        "12 €",
        "12.345 EUR",
        "-1 EUR",
        "1e15 EUR",
        "12 EUR net",
        "EUR 12",
    ] {
        let error = parse_price(text).expect_err(text);
        assert!(text.get(error.span.clone()).is_some(), "{text}: {error:?}");
    }
}

#[test]
fn currencies_do_not_mix() {
    let (euro, franc) = (Price::new(100, *b"EUR"), Price::new(100, *b"CHF"));
    assert_eq!(euro.checked_add(franc), None);
    assert_eq!(euro.checked_add(euro), Some(euro.times(2)));
    assert_eq!(Price::new(i64::MAX, *b"EUR").checked_add(euro), None);
}

proptest! {
    #[test]
    fn prices_read_back(hundredths in 0i64..100_000_000_000) {
        let price = Price::new(hundredths, *b"EUR");
        prop_assert_eq!(parse_price(&price.to_string()), Ok(price));
    }

    #[test]
    fn memory_reads_back(bytes in 0u64..(1 << 50)) {
        let memory = Memory::from_bytes(bytes);
        prop_assert_eq!(parse_memory(&memory.to_string()), Ok(memory));
    }

    #[test]
    fn memory_in_whole_kib_reads_back(kib in 0u64..(1 << 40)) {
        let memory = Memory::from_bytes(kib * 1024);
        prop_assert_eq!(parse_memory(&memory.to_string()), Ok(memory));
    }

    #[test]
    fn sums_of_prices_have_no_order(a in 0i64..1_000_000_000, b in 0i64..1_000_000_000, c in 0i64..1_000_000_000) {
        let price = |hundredths| Price::new(hundredths, *b"EUR");
        let one = price(a).checked_add(price(b)).and_then(|sum| sum.checked_add(price(c)));
        let other = price(c).checked_add(price(a)).and_then(|sum| sum.checked_add(price(b)));
        prop_assert_eq!(one, other);
    }
}
