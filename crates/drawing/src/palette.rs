//! The colours, once for light and once for dark, and the published contrast formula that holds them to account.

/// One colour of ours by its role: light scheme, dark scheme.
pub(crate) struct Colour {
    pub name: &'static str,
    pub light: &'static str,
    pub dark: &'static str,
}

const fn colour(name: &'static str, light: &'static str, dark: &'static str) -> Colour {
    Colour { name, light, dark }
}

/// Every colour that a picture uses, apart from the wires.
pub(crate) const COLOURS: [Colour; 28] = [
    // grounds
    colour("paper", "#ffffff", "#13181c"),
    colour("sheet", "#f5f7f8", "#1c2328"),
    colour("plate", "#e9eff0", "#202a2f"),
    colour("socket", "#ffffff", "#11161a"),
    colour("band", "#eef2f5", "#1a2126"),
    // text and lines
    colour("ink", "#1a2329", "#e9eef1"),
    colour("quiet", "#4f5c66", "#aab6be"),
    colour("rule", "#74828d", "#7c8a95"),
    colour("casing", "#3d4850", "#c3ccd2"),
    // kinds of leads
    colour("power", "#a8391f", "#f08c6c"),
    colour("motion", "#1f5fa8", "#7db4f0"),
    colour("air", "#0f7272", "#5cc4c0"),
    colour("sense", "#4d6b16", "#a5c862"),
    colour("show", "#7a3f98", "#c896e6"),
    // verdicts
    colour("blocker", "#b3261e", "#ff8a80"),
    colour("caution", "#8a5a00", "#f0b64a"),
    colour("note", "#33597e", "#94bfe8"),
    colour("pass", "#1e6b3c", "#74cf96"),
    // shades of a surface, see [`SHADES`]
    colour("ramp0", "#5a97da", "#001d34"),
    colour("ramp1", "#9198df", "#10204a"),
    colour("ramp2", "#be99dc", "#34204d"),
    colour("ramp3", "#e19cd2", "#4f1f4b"),
    colour("ramp4", "#fba3c5", "#642044"),
    colour("ramp5", "#feb4ba", "#742539"),
    colour("ramp6", "#ffc5b9", "#7e302d"),
    colour("ramp7", "#ffd5bc", "#824021"),
    colour("ramp8", "#ffe5c3", "#7f5017"),
    colour("ramp9", "#fff5bd", "#766113"),
];

/// Shades of a surface from low to high, the last of [`COLOURS`]. Lightness (CIELAB L*) rises in equal steps, 61 to 96 in the light scheme
/// and 10 to 42 in the dark one, so that the order survives on grey paper and for eyes that tell no colours apart; the hue goes from blue over
/// red to yellow with it. Text and lines of `ink` stand out on each.
pub(crate) const SHADES: usize = 10;

/// The style block: only the colours and classes that `body` uses, all below the class `dwg`, so that nothing leaks
/// into a page with other pictures. Paper is always light, and a picture of no `fixed` size shrinks to the page.
pub(crate) fn style(body: &str, fixed: bool) -> String {
    let used: Vec<&Colour> = COLOURS.iter().filter(|c| is_used(c, body)).collect();
    let light: String = used
        .iter()
        .map(|c| format!("--{}:{};", c.name, c.light))
        .collect();
    let dark: String = used.iter().map(|c| format!("--{}:{};", c.name, c.dark)).collect();
    let (screen, page) = if fixed {
        ("", "")
    } else {
        ("max-width:100%;height:auto;", "max-height:100vh;")
    };
    let mut css = format!(
        ".dwg{{{light}{screen}color-scheme:light dark;font-family:system-ui,sans-serif}}\
         @media (prefers-color-scheme:dark){{.dwg{{{dark}}}}}\
         @media print{{.dwg{{{light}{page}color-scheme:light;print-color-adjust:exact}}}}\
         .dwg text{{fill:var(--ink)}}.dwg .b{{font-weight:700}}.dwg .n{{fill:none}}\
         .dwg .d{{stroke-dasharray:4 3}}.dwg .o{{stroke-dasharray:1 3;stroke-linecap:round}}\
         .dwg .r{{stroke-linejoin:round;stroke-linecap:round}}\
         .dwg .m{{paint-order:stroke;stroke:var(--paper);stroke-width:4px;stroke-linejoin:round}}"
    );
    for c in &used {
        if body.contains(&format!("f-{}", c.name)) {
            css.push_str(&format!(".dwg .f-{0}{{fill:var(--{0})}}", c.name));
        }
        if body.contains(&format!("s-{}", c.name)) {
            css.push_str(&format!(".dwg .s-{0}{{stroke:var(--{0})}}", c.name));
        }
    }
    css
}

/// How wires of one colour are named and drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WireColour {
    /// In words.
    pub name: &'static str,
    /// Its hue on the screen, `#rrggbb`.
    pub body: &'static str,
}

/// What each IEC 60757 letter code of one colour stands for, such as `BK`. The standard gives letters, not hues: these are ours. Tables of
/// data that list the codes as well must say the same.
#[must_use]
pub fn wire_colour(code: &str) -> Option<WireColour> {
    Some(match code {
        "BK" => WireColour {
            name: "black",
            body: "#262626",
        },
        "BN" => WireColour {
            name: "brown",
            body: "#8a5a32",
        },
        "RD" => WireColour {
            name: "red",
            body: "#d7263d",
        },
        "OG" => WireColour {
            name: "orange",
            body: "#f07d1a",
        },
        "YE" => WireColour {
            name: "yellow",
            body: "#f2cf2e",
        },
        "GN" => WireColour {
            name: "green",
            body: "#2e9e4f",
        },
        "BU" => WireColour {
            name: "blue",
            body: "#2f6fd6",
        },
        "VT" => WireColour {
            name: "violet",
            body: "#8e4bc0",
        },
        "GY" => WireColour {
            name: "grey",
            body: "#8b9199",
        },
        "WH" => WireColour {
            name: "white",
            body: "#fafafa",
        },
        "PK" => WireColour {
            name: "pink",
            body: "#f29ac2",
        },
        "GD" => WireColour {
            name: "gold",
            body: "#c9a13b",
        },
        "TQ" => WireColour {
            name: "turquoise",
            body: "#35c2bd",
        },
        "SR" => WireColour {
            name: "silver",
            body: "#c4cad1",
        },
        _ => return None,
    })
}

/// The colours of a wire in the order of its letters: `RDBU` has two; `None` stands for a code that is not known.
pub(crate) fn wire_codes(letters: &str) -> Vec<Option<WireColour>> {
    let codes: Vec<char> = letters.chars().collect();
    codes
        .chunks(2)
        .map(|pair| wire_colour(&pair.iter().collect::<String>()))
        .collect()
}

/// The shades of a wire in the order of its letters: `RDBU` has two, an unknown code none.
pub(crate) fn wire_colours(letters: &str) -> Vec<&'static str> {
    let known = wire_codes(letters).into_iter().flatten();
    known.map(|colour| colour.body).collect()
}

fn is_used(colour: &Colour, body: &str) -> bool {
    matches!(colour.name, "paper" | "ink")
        || body.contains(&format!("f-{}", colour.name))
        || body.contains(&format!("s-{}", colour.name))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.x, "relative luminance" and "contrast ratio".
    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn luminance(hex: &str) -> f64 {
        let channel = |at: usize| {
            let c = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    fn both(name: &str) -> [&'static str; 2] {
        let c = COLOURS.iter().find(|c| c.name == name).unwrap();
        [c.light, c.dark]
    }

    /// Ratios on white, recomputed from the WCAG 2.x formula; blue 8.59 and blue on red 2.15 also in a textbook.
    #[test]
    fn the_formula_gives_the_published_ratios() {
        let on_white = [
            ("#000000", 21.0),
            ("#767676", 4.5422),
            ("#777777", 4.4781),
            ("#949494", 3.0335),
            ("#959595", 2.9953),
            ("#595959", 7.0047),
            ("#ff0000", 3.9985),
            ("#0000ff", 8.5925),
        ];
        for (hex, ratio) in on_white {
            assert!((contrast(hex, "#ffffff") - ratio).abs() < 5e-5, "{hex}");
        }
        assert!((contrast("#0000ff", "#ff0000") - 2.15).abs() < 5e-3);
    }

    const GROUNDS: [&str; 5] = ["paper", "sheet", "plate", "socket", "band"];
    const TEXTS: [&str; 11] = [
        "ink", "quiet", "power", "motion", "air", "sense", "show", "blocker", "caution", "note", "pass",
    ];

    /// WCAG 2.1, 1.4.3: text 4.5. Each text colour on each ground, and on coloured marks the paper on the colour.
    #[test]
    fn every_text_stands_out_from_every_ground() {
        for text in TEXTS {
            for ground in GROUNDS {
                for scheme in 0..2 {
                    let ratio = contrast(both(text)[scheme], both(ground)[scheme]);
                    assert!(ratio >= 4.5, "{text} on {ground}, scheme {scheme}: {ratio:.2}");
                }
            }
        }
    }

    /// WCAG 2.1, 1.4.11: graphics 3.
    #[test]
    fn every_line_stands_out_from_every_ground() {
        for line in ["rule", "casing"].iter().chain(&TEXTS) {
            for ground in GROUNDS {
                for scheme in 0..2 {
                    let ratio = contrast(both(line)[scheme], both(ground)[scheme]);
                    assert!(ratio >= 3.0, "{line} on {ground}, scheme {scheme}: {ratio:.2}");
                }
            }
        }
    }

    /// CIE 15, CIELAB: L* = 116 (Y/Yn)^(1/3) − 16 (from memory). Lightness rises in equal steps to half a unit; ink stands out on each.
    #[test]
    fn the_ramp_rises_in_equal_steps_and_bears_text() {
        let lightness = |hex: &str| {
            let y = luminance(hex);
            if y > 0.008_856 {
                116.0 * y.cbrt() - 16.0
            } else {
                903.3 * y
            }
        };
        let ramp: Vec<[&str; 2]> = (0..SHADES).map(|k| both(&format!("ramp{k}"))).collect();
        for scheme in 0..2 {
            let first = lightness(ramp[0][scheme]);
            let step = (lightness(ramp[SHADES - 1][scheme]) - first) / (SHADES - 1) as f64;
            assert!(step > 3.0);
            for (at, shade) in ramp.iter().enumerate() {
                let off = lightness(shade[scheme]) - first - step * at as f64;
                assert!(off.abs() < 0.5, "{shade:?} is off by {off}");
                let ratio = contrast(shade[scheme], both("ink")[scheme]);
                assert!(ratio >= 4.5, "{shade:?} against ink: {ratio:.2}");
            }
        }
    }

    /// The classes that pictures use for text and lines are all among those tested above.
    #[test]
    fn no_colour_escapes_the_contrast_tests() {
        for c in &COLOURS {
            let known =
                GROUNDS.contains(&c.name) || TEXTS.contains(&c.name) || ["rule", "casing"].contains(&c.name);
            let known = known || c.name.starts_with("ramp");
            assert!(known, "{}", c.name);
        }
    }

    /// IEC 60757, table 1: the letter codes; 5.1: two colours are written one after the other.
    #[test]
    fn the_letter_codes_of_the_standard_have_a_shade() {
        for code in [
            "BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR",
        ] {
            assert_eq!(wire_colours(code).len(), 1, "{code}");
        }
        assert_eq!(
            wire_colours("GNYE"),
            [wire_colour("GN").unwrap().body, wire_colour("YE").unwrap().body]
        );
        assert_eq!(wire_colours("RDBU").len(), 2);
        assert!(wire_colours("??").is_empty());
    }
}
