//! Intel HEX. The records are read by a library; addresses, order and completeness are ours. Source: [intel-hex-1988].

use ihex::{ReaderError, Record};

use super::{Form, Found, finished, lines};
use crate::content::Builder;
use crate::fault::{Faults, Place, Refused};

/// How the address of a record is made.
#[derive(Clone, Copy)]
enum Base {
    /// 16 bits alone, or a segment of 64 KiB: addresses wrap at its end.
    Segment(u32),
    /// The upper half of 32 bits: records may pass 64 KiB.
    Linear(u32),
}

pub(super) fn read(bytes: &[u8]) -> Result<Found, Refused> {
    let mut builder = Builder::default();
    let mut faults = Faults::default();
    let mut base = Base::Segment(0);
    let mut entry = None;
    let mut ended = None;
    let mut last = 1;
    for (number, line) in lines(bytes) {
        let place = Place::Line(number);
        last = number;
        if let Some(end) = ended {
            faults.push(place, format!("more text behind the end record of line {end}"));
            break;
        }
        if has_other_length(line) {
            faults.push(place, words(ReaderError::PayloadLengthMismatch));
            continue;
        }
        let record = std::str::from_utf8(line)
            .map_err(|_| ReaderError::ContainsInvalidCharacters)
            .and_then(Record::from_record_string);
        match record {
            Err(error) => faults.push(place, words(error)),
            Ok(Record::Data { offset, value }) => {
                let address = match base {
                    Base::Linear(upper) => u64::from(upper) + u64::from(offset),
                    Base::Segment(start) if usize::from(offset) + value.len() > 0x1_0000 => {
                        let end = start + 0xFFFF;
                        faults.push(
                            place,
                            format!("the addresses wrap at 0x{end:08X}, the end of 64 KiB"),
                        );
                        continue;
                    }
                    Base::Segment(start) => u64::from(start) + u64::from(offset),
                };
                builder.put(place, address, &value);
            }
            Ok(Record::EndOfFile) => ended = Some(number),
            Ok(Record::ExtendedSegmentAddress(segment)) => base = Base::Segment(u32::from(segment) << 4),
            Ok(Record::ExtendedLinearAddress(upper)) => base = Base::Linear(u32::from(upper) << 16),
            Ok(Record::StartLinearAddress(address)) => entry = Some(address),
            Ok(Record::StartSegmentAddress { cs, ip }) => {
                entry = Some((u32::from(cs) << 4) + u32::from(ip));
            }
        }
    }
    if ended.is_none() {
        faults.push(
            Place::Line(last),
            "the end record `:00000001FF` is missing behind it: the file is cut off",
        );
    }
    finished(Form::IntelHex, builder, faults, entry)
}

/// Whether a record has another length than it states. The library looks at the checksum first, which is then wrong as well.
fn has_other_length(line: &[u8]) -> bool {
    let count = line.get(1..3).and_then(|digits| std::str::from_utf8(digits).ok());
    let count = count.and_then(|digits| usize::from_str_radix(digits, 16).ok());
    count.is_some_and(|count| {
        line.starts_with(b":") && line.len() % 2 == 1 && line.len() <= 521 && line.len() != 11 + 2 * count
    })
}

fn words(error: ReaderError) -> String {
    match error {
        ReaderError::MissingStartCode => "no colon at the start of the record".to_owned(),
        ReaderError::RecordTooShort => "the record is too short".to_owned(),
        ReaderError::RecordTooLong => "the record is too long".to_owned(),
        ReaderError::RecordNotEvenLength => "half a byte at the end of the record".to_owned(),
        ReaderError::ContainsInvalidCharacters => "a character that is no hexadecimal digit".to_owned(),
        ReaderError::ChecksumMismatch(computed, written) => {
            format!("checksum {written:02X}, expected {computed:02X}")
        }
        ReaderError::PayloadLengthMismatch => "the record has another length than it states".to_owned(),
        ReaderError::UnsupportedRecordType(kind) => format!("record type {kind:02X} does not exist"),
        ReaderError::InvalidLengthForType => "a length that a record of this type cannot have".to_owned(),
    }
}
