//! Money and memory: amounts that are counted, not measured.

use core::fmt;
use core::ops::Add;

use serde::{Serialize, Serializer};

/// An amount of money in one currency, in hundredths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Price {
    hundredths: i64,
    currency: [u8; 3],
}

impl Price {
    /// A price from hundredths of a currency given by its three capital letters (ISO 4217).
    #[must_use]
    pub fn new(hundredths: i64, currency: [u8; 3]) -> Self {
        Self { hundredths, currency }
    }
    /// Hundredths of the currency.
    #[must_use]
    pub fn hundredths(self) -> i64 {
        self.hundredths
    }
    /// The three letters of the currency.
    #[must_use]
    pub fn currency(&self) -> &str {
        core::str::from_utf8(&self.currency).unwrap_or("XXX")
    }
    /// Whether both amounts can be added and compared.
    #[must_use]
    pub fn same_currency(self, other: Self) -> bool {
        self.currency == other.currency
    }
    /// The sum, or `None` where the currencies differ.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        let hundredths = self.hundredths.checked_add(other.hundredths)?;
        self.same_currency(other).then_some(Self { hundredths, ..self })
    }
    /// The price of several pieces.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        Self {
            hundredths: self.hundredths.saturating_mul(i64::from(count)),
            ..self
        }
    }
}

impl fmt::Display for Price {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.hundredths < 0 { "-" } else { "" };
        let (whole, rest) = (
            self.hundredths.unsigned_abs() / 100,
            self.hundredths.unsigned_abs() % 100,
        );
        if rest == 0 {
            write!(formatter, "{sign}{whole} {}", self.currency())
        } else {
            write!(formatter, "{sign}{whole}.{rest:02} {}", self.currency())
        }
    }
}

impl Serialize for Price {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// An amount of memory in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Memory(u64);

impl Memory {
    /// So many bytes.
    #[must_use]
    pub fn from_bytes(bytes: u64) -> Self {
        Self(bytes)
    }
    /// The number of bytes.
    #[must_use]
    pub fn bytes(self) -> u64 {
        self.0
    }
}

impl Add for Memory {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Memory {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        const KIB: u64 = 1024;
        match self.0 {
            bytes if bytes >= KIB * KIB && bytes % (KIB * KIB) == 0 => {
                write!(formatter, "{} MiB", bytes / KIB / KIB)
            }
            bytes if bytes >= KIB && bytes % KIB == 0 => write!(formatter, "{} KiB", bytes / KIB),
            bytes => write!(formatter, "{bytes} B"),
        }
    }
}

impl Serialize for Memory {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
