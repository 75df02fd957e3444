//! Invented firmware images for tests: a vector table, functions that call each other, pointers and texts, from a seed.
//!
//! They run nowhere. What a test holds against them is what was asked for: where they begin, which instructions they need, which
//! words they name.

/// Which instructions an image holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// Only those that every 32-bit Arm controller has.
    Smallest,
    /// Those of a Cortex-M3.
    Middle,
    /// Also floating point in single precision.
    Float,
}

/// What an image is to be.
#[derive(Clone, Debug)]
pub struct Firmware {
    /// Its first address.
    pub start: u32,
    /// Its size in bytes, about.
    pub size: u32,
    /// The first address of the RAM.
    pub ram_start: u32,
    /// The size of the RAM.
    pub ram: u32,
    /// Its instructions.
    pub needs: Needs,
    /// Texts that stand in it.
    pub texts: Vec<String>,
    /// The seed of everything else.
    pub seed: u64,
}

impl Firmware {
    /// An image of 96 KiB with a few texts.
    #[must_use]
    pub fn new(start: u32, ram: u32, needs: Needs, seed: u64) -> Self {
        Self {
            start,
            size: 96 << 10,
            ram_start: 0x2000_0000,
            ram,
            needs,
            texts: vec![
                "report:  M92 X80.00 Y80.00".to_owned(),
                "NAME:Example 1.4.2-k7".to_owned(),
            ],
            seed,
        }
    }

    /// The bytes from the first address on.
    ///
    /// # Panics
    /// Where the size has no room for the table.
    #[must_use]
    pub fn raw(&self) -> Vec<u8> {
        let mut random = Random((self.seed | 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        const TABLE: u32 = 0x140;
        assert!(self.size > 4 * TABLE);
        let mut halves: Vec<u16> = Vec::new();
        let mut functions: Vec<u32> = Vec::new();
        let text = self.texts.join("\0").into_bytes();
        let code = self.size - TABLE - u32::try_from(text.len()).unwrap() - 0x400;
        while u32::try_from(halves.len() * 2).unwrap() < code {
            let at = self.start + TABLE + u32::try_from(halves.len() * 2).unwrap();
            self.function(at, &functions, &mut halves, &mut random);
            functions.push(at);
        }
        let pick = |random: &mut Random| functions[random.below(functions.len())] | 1;
        // The start stands anywhere, as linkers leave it; most vectors share one handler.
        let (reset, shared) = (pick(&mut random), pick(&mut random));
        let mut words = vec![self.ram_start + self.ram, reset];
        for number in 2..TABLE / 4 {
            let reserved = matches!(number, 7..=10 | 13);
            let own = random.below(6) == 0;
            words.push(match (reserved, own) {
                (true, _) => 0,
                (false, true) => pick(&mut random),
                (false, false) => shared,
            });
        }
        let mut bytes: Vec<u8> = words.iter().flat_map(|word| word.to_le_bytes()).collect();
        bytes.extend(halves.iter().flat_map(|half| half.to_le_bytes()));
        bytes.resize(bytes.len().next_multiple_of(4), 0);
        // A table of commands, the first data, and texts.
        for _ in 0..64 {
            bytes.extend(pick(&mut random).to_le_bytes());
        }
        bytes.extend(self.ram_start.to_le_bytes());
        bytes.extend(&text);
        bytes.push(0);
        bytes.resize(bytes.len().next_multiple_of(4), 0);
        bytes
    }

    /// A function: saves, works, calls earlier ones, returns; a word or two of data behind it.
    fn function(&self, at: u32, earlier: &[u32], halves: &mut Vec<u16>, random: &mut Random) {
        let begin = halves.len();
        halves.push(0xB510);
        for _ in 0..4 + random.below(24) {
            let small = random.below(1 << 16);
            let register = u16::try_from(small & 7).unwrap();
            match (self.needs, random.below(12)) {
                (_, 0) if !earlier.is_empty() => {
                    let here = at + u32::try_from((halves.len() - begin) * 2).unwrap();
                    let target = earlier[random.below(earlier.len())];
                    halves.extend(call(here, target));
                }
                (Needs::Middle | Needs::Float, 1) => halves.extend([0xF04F, register << 8 | 0x55]),
                (Needs::Middle | Needs::Float, 2) => halves.extend([0xFB91, 0xF0F2]),
                (Needs::Float, 3) => halves.extend([0xEE30, 0x0A20]),
                (_, 4) => halves.push(0x6000 | register << 3),
                (_, 5) => halves.push(0x1C40 | register),
                (_, 6) => halves.push(0x4048),
                _ => halves.push(0x2000 | register << 8 | u16::try_from(small >> 8).unwrap()),
            }
        }
        halves.push(0xBD10);
        if halves.len() % 2 == 1 {
            halves.push(0xBF00);
        }
        for _ in 0..random.below(3) {
            // Addresses of the machine's own registers.
            halves.extend([u16::try_from(random.below(1 << 10) * 4).unwrap(), 0x4000]);
        }
    }

    /// The same as Intel HEX.
    #[must_use]
    pub fn intel_hex(&self) -> String {
        let mut out = String::new();
        let mut upper = None;
        for (at, chunk) in self.raw().chunks(16).enumerate() {
            let address = self.start + u32::try_from(at * 16).unwrap();
            if upper != Some(address >> 16) {
                upper = Some(address >> 16);
                let bytes = [(address >> 24) as u8, (address >> 16) as u8];
                out.push_str(&hex_record(0, 4, &bytes));
            }
            out.push_str(&hex_record((address & 0xFFFF) as u16, 0, chunk));
        }
        out + ":00000001FF\n"
    }
}

/// A record of Intel HEX with its line end.
#[must_use]
pub fn hex_record(address: u16, kind: u8, data: &[u8]) -> String {
    let mut bytes = vec![u8::try_from(data.len()).unwrap()];
    bytes.extend(address.to_be_bytes());
    bytes.push(kind);
    bytes.extend(data);
    let sum = bytes.iter().fold(0u8, |sum, byte| sum.wrapping_add(*byte));
    bytes.push(sum.wrapping_neg());
    let digits: Vec<String> = bytes.iter().map(|byte| format!("{byte:02X}")).collect();
    format!(":{}\n", digits.concat())
}

/// A call of Thumb, as two halves.
fn call(from: u32, to: u32) -> [u16; 2] {
    let distance = to.wrapping_sub(from + 4) as i32 >> 1;
    let bits = distance as u32;
    let sign = bits >> 23 & 1;
    let (one, two) = ((bits >> 22 & 1) ^ 1 ^ sign, (bits >> 21 & 1) ^ 1 ^ sign);
    [
        (0xF000 | sign << 10 | bits >> 11 & 0x3FF) as u16,
        (0xD000 | one << 13 | two << 11 | bits & 0x7FF) as u16,
    ]
}

/// A small generator of numbers: tests must not change with a library.
#[derive(Clone, Debug)]
pub struct Random(pub u64);

impl Random {
    /// The next number (xorshift, Marsaglia 2003).
    pub fn number(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    /// A number below another one.
    ///
    /// # Panics
    /// Where that is 0.
    pub fn below(&mut self, end: usize) -> usize {
        (self.number() >> 16) as usize % end
    }
}
