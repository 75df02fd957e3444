//! S-record. Source: [s-record].

use super::{Form, Found, finished, lines};
use crate::content::Builder;
use crate::fault::{Faults, Place, Refused};

pub(super) fn read(bytes: &[u8]) -> Result<Found, Refused> {
    let mut builder = Builder::default();
    let mut faults = Faults::default();
    let mut entry = None;
    let mut ended = None;
    let mut data_records: u32 = 0;
    let mut last = 1;
    for (number, line) in lines(bytes) {
        let place = Place::Line(number);
        last = number;
        if let Some(end) = ended {
            faults.push(place, format!("more text behind the end record of line {end}"));
            break;
        }
        let record = match Record::of(line) {
            Ok(record) => record,
            Err(problem) => {
                faults.push(place, problem);
                continue;
            }
        };
        match record.kind {
            1..=3 => {
                data_records += 1;
                builder.put(place, u64::from(record.address), &record.data);
            }
            5 | 6 if record.address != data_records => faults.push(
                place,
                format!(
                    "{} data records are counted, {data_records} were read",
                    record.address
                ),
            ),
            7..=9 => {
                ended = Some(number);
                // Zero says that no start is stated.
                entry = Some(record.address).filter(|address| *address != 0);
            }
            // The head holds a name; the count is right.
            _ => {}
        }
    }
    if ended.is_none() {
        faults.push(
            Place::Line(last),
            "the end record (S7, S8 or S9) is missing behind it: the file is cut off",
        );
    }
    finished(Form::SRecord, builder, faults, entry)
}

struct Record {
    kind: u8,
    address: u32,
    data: Vec<u8>,
}

impl Record {
    fn of(line: &[u8]) -> Result<Self, String> {
        let (kind, digits) = match line {
            [b'S', kind @ b'0'..=b'9', rest @ ..] if *kind != b'4' => (*kind - b'0', rest),
            [b'S', kind, ..] => return Err(format!("record type S{} does not exist", kind.escape_ascii())),
            _ => return Err("no `S` with a digit at the start of the record".to_owned()),
        };
        // A count of one byte: no record has more.
        if digits.len() > 2 * 256 {
            return Err("the record is too long".to_owned());
        }
        if !digits.len().is_multiple_of(2) {
            return Err("half a byte at the end of the record".to_owned());
        }
        let bytes = digits
            .chunks_exact(2)
            .map(|pair| Some((digit(pair[0])? << 4) | digit(pair[1])?))
            .collect::<Option<Vec<u8>>>()
            .ok_or("a character that is no hexadecimal digit")?;
        let [count, rest @ .., checksum] = bytes.as_slice() else {
            return Err("the record is too short".to_owned());
        };
        if usize::from(*count) != rest.len() + 1 {
            return Err("the record has another length than it states".to_owned());
        }
        let sum = rest.iter().fold(*count, |sum, byte| sum.wrapping_add(*byte));
        if !sum != *checksum {
            return Err(format!("checksum {checksum:02X}, expected {:02X}", !sum));
        }
        let width = match kind {
            0 | 1 | 5 | 9 => 2,
            2 | 6 | 8 => 3,
            _ => 4,
        };
        let (address, data) = rest
            .split_at_checked(width)
            .ok_or("the record is too short for its address")?;
        if kind >= 5 && !data.is_empty() {
            return Err("a record of this type has no data".to_owned());
        }
        let address = address.iter().fold(0, |sum, byte| (sum << 8) | u32::from(*byte));
        let end = u64::from(address) + data.len() as u64;
        if (1..=3).contains(&kind) && end > 1 << (8 * width) {
            return Err(format!(
                "the addresses wrap: an S{kind} record has {width} bytes of address"
            ));
        }
        Ok(Self {
            kind,
            address,
            data: data.to_vec(),
        })
    }
}

fn digit(byte: u8) -> Option<u8> {
    char::from(byte)
        .to_digit(16)
        .and_then(|digit| u8::try_from(digit).ok())
}
