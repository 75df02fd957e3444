//! A working as text: the law with numbers in it, the worst corner, and the lines of the page that tells why.

use quantity::{AnyValue, Digits, Kind, show};

use super::{End, Input, Working};

impl Working {
    /// The law in symbols.
    #[must_use]
    pub fn law(&self) -> &'static str {
        self.formula.law
    }

    /// The law with each symbol on its right-hand side replaced by its nominal number and unit.
    ///
    /// A number is put in parentheses where it is negative, raised to a power, or has a unit of several parts. A temperature whose symbol starts with `T` is an
    /// absolute one and written in kelvin, any other in °C. A law with `Σ` becomes the sum of all inputs.
    #[must_use]
    pub fn with_numbers(&self) -> String {
        let law = self.formula.law;
        let Some((left, right)) = law.split_once('=') else {
            return self.replaced(law);
        };
        let terms = |between: &str| {
            let terms: Vec<String> = self.inputs.iter().map(number).collect();
            terms.join(between)
        };
        if right.starts_with(" minₙ") {
            return format!("{left}= min({})", terms(", "));
        }
        if right.contains('Σ') {
            return format!("{left}= {}", terms(" + "));
        }
        format!("{left}={}", self.replaced(right))
    }

    /// The result with its interval: "P = 40 W (32.82 .. 49 W)".
    #[must_use]
    pub fn result_line(&self) -> String {
        format!("{} = {}", self.symbol, self.result)
    }

    /// One line for each input: symbol, value with tolerance, meaning; in columns.
    #[must_use]
    pub fn input_lines(&self) -> Vec<String> {
        let values: Vec<String> = self.inputs.iter().map(|input| input.value.to_string()).collect();
        let widest =
            |texts: &mut dyn Iterator<Item = &str>| texts.map(|text| text.chars().count()).max().unwrap_or(0);
        let symbol = widest(&mut self.inputs.iter().map(|input| input.symbol));
        let value = widest(&mut values.iter().map(String::as_str));
        let lines = self.inputs.iter().zip(&values);
        lines
            .map(|(input, shown)| format!("{:symbol$}  {shown:value$}  {}", input.symbol, input.what))
            .collect()
    }

    /// Where the result is lowest, as a clause; nothing where no input matters.
    #[must_use]
    pub fn lowest_at(&self) -> Option<String> {
        self.corner("lowest", |input| input.lowest)
    }

    /// Where the result is highest, as a clause: "highest at U = 25.2 V and R = 12.96 Ω".
    #[must_use]
    pub fn highest_at(&self) -> Option<String> {
        self.corner("highest", |input| input.highest)
    }

    /// The lines that explain the number: law, inputs, law with numbers, result, worst corners, source.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![self.law().to_owned()];
        lines.extend(self.input_lines().into_iter().map(|line| format!("  {line}")));
        lines.extend([self.with_numbers(), self.result_line()]);
        let corners: Vec<String> = [self.lowest_at(), self.highest_at()]
            .into_iter()
            .flatten()
            .collect();
        if !corners.is_empty() {
            lines.push(corners.join("; "));
        }
        lines.push(match self.formula.clause {
            "" => format!("source: {}", self.formula.source),
            clause => format!("source: {}, {clause}", self.formula.source),
        });
        lines
    }

    /// The inputs by the width of their swing, widest first: the rows of a tornado chart.
    #[must_use]
    pub fn tornado(&self) -> Vec<&Input> {
        let width = |input: &Input| input.swing.high - input.swing.low;
        let mut inputs: Vec<&Input> = self.inputs.iter().filter(|input| width(input) > 0.0).collect();
        inputs.sort_by(|a, b| width(b).total_cmp(&width(a)));
        inputs
    }

    fn corner(&self, word: &str, end: impl Fn(&Input) -> End) -> Option<String> {
        let at = |input: &Input| {
            let value = match end(input) {
                End::Low => input.value.at_low(),
                End::High => input.value.at_high(),
                End::Inside(value) => value,
                End::Either => return None,
            };
            Some(format!("{} = {value}", input.symbol))
        };
        let parts: Vec<String> = self.inputs.iter().filter_map(at).collect();
        // A sum rises with each of its parts; to list them all says no more.
        if self.formula.law.contains('Σ') && parts.len() > 1 {
            return Some(format!("{word} with every part at its {word}"));
        }
        let (last, rest) = parts.split_last()?;
        if rest.is_empty() {
            return Some(format!("{word} at {last}"));
        }
        Some(format!("{word} at {} and {last}", rest.join(", ")))
    }

    /// `law` with each whole symbol replaced; what is part of a longer name stays.
    fn replaced(&self, law: &str) -> String {
        let mut out = String::new();
        let mut rest = law;
        while let Some(first) = rest.chars().next() {
            let length = if is_name(first) {
                rest.find(|character| !is_name(character)).unwrap_or(rest.len())
            } else {
                first.len_utf8()
            };
            let (token, after) = rest.split_at(length);
            match self.inputs.iter().find(|input| input.symbol == token) {
                Some(input) => out.push_str(&guarded(number(input), after)),
                None => out.push_str(token),
            }
            rest = after;
        }
        out
    }
}

/// Whether a character can stand in a symbol: letters of any script, digits, subscripts, primes; no superscripts.
fn is_name(character: char) -> bool {
    let superscript = matches!(character, '²' | '³' | '¹' | '⁰' | '⁴'..='⁹' | '⁻' | 'ⁿ');
    // The sum and square-root signs are mathematical symbols, not letters, so they end a name by themselves.
    !superscript && (character.is_alphanumeric() || matches!(character, '_' | '′' | '″' | '₊' | '₋'))
}

fn number(input: &Input) -> String {
    let exact = AnyValue {
        low: input.value.nominal,
        high: input.value.nominal,
        ..input.value
    };
    if exact.kind == Kind::Temperature && input.symbol.starts_with('T') {
        let kelvin = (exact.nominal * 100.0).round() / 100.0;
        return format!("{kelvin} K");
    }
    show(&exact, Digits::default())
}

fn guarded(number: String, after: &str) -> String {
    let raised = after.starts_with(|next| matches!(next, '²' | '³' | '^' | '⁻' | 'ⁿ' | '⁴'..='⁹'));
    // "55 W / 0.2 W/K" could be read in two ways, and so could a product of units.
    let compound = number.contains('/') || number.matches(' ').count() > 1;
    if raised || compound || number.starts_with('-') {
        format!("({number})")
    } else {
        number
    }
}
