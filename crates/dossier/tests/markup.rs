//! A strict reader of tags: enough to tell whether a page is well-formed and what its attributes are.

/// Elements that have no end tag. WHATWG HTML, section "Elements", list of void elements.
const VOID: [&str; 13] = [
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr",
];

/// The tags of a page.
pub struct Page<'a> {
    tags: Vec<Tag<'a>>,
}

struct Tag<'a> {
    name: &'a str,
    closing: bool,
    attributes: Vec<(&'a str, &'a str)>,
}

impl<'a> Page<'a> {
    pub fn of(html: &'a str) -> Self {
        let mut tags = Vec::new();
        let mut rest = html;
        while let Some(at) = rest.find('<') {
            let after = &rest[at + 1..];
            if after.starts_with('!') {
                rest = &after[after.find('>').expect("the end of a declaration")..];
                continue;
            }
            let (tag, left) = Tag::read(after);
            rest = left;
            if tag.name == "style" && !tag.closing {
                // What stands in a style sheet is no markup.
                rest = &rest[rest.find("</style").expect("the end of a style sheet")..];
            }
            tags.push(tag);
        }
        Self { tags }
    }

    /// The names of all elements.
    pub fn elements(&self) -> impl Iterator<Item = &'a str> {
        self.tags.iter().filter(|tag| !tag.closing).map(|tag| tag.name)
    }

    /// Element, attribute, value.
    pub fn attributes(&self) -> impl Iterator<Item = (&'a str, &'a str, &'a str)> {
        let tags = self.tags.iter();
        tags.flat_map(|tag| {
            tag.attributes
                .iter()
                .map(|(name, value)| (tag.name, *name, *value))
        })
    }

    /// All values of an attribute.
    pub fn values(&self, attribute: &str) -> Vec<&'a str> {
        self.attributes()
            .filter(|(_, name, _)| *name == attribute)
            .map(|(_, _, value)| value)
            .collect()
    }
}

impl<'a> Tag<'a> {
    /// A tag behind its `<`, and what follows it. Attributes are in double quotes, as this project writes them.
    fn read(text: &'a str) -> (Self, &'a str) {
        let closing = text.starts_with('/');
        let text = text.strip_prefix('/').unwrap_or(text);
        let end = text
            .find(|c: char| !c.is_ascii_alphanumeric())
            .expect("the end of a name");
        let (name, mut rest) = text.split_at(end);
        assert!(
            !name.is_empty(),
            "a bare < before `{}`",
            text.chars().take(30).collect::<String>()
        );
        let mut attributes = Vec::new();
        loop {
            rest = rest.trim_start();
            if let Some(left) = rest.strip_prefix('>') {
                return (
                    Self {
                        name,
                        closing,
                        attributes,
                    },
                    left,
                );
            }
            let end = rest.find(['=', ' ', '>']).expect("the end of an attribute");
            let (attribute, after) = rest.split_at(end);
            if let Some(quoted) = after.strip_prefix("=\"") {
                let end = quoted.find('"').expect("the end of a value");
                attributes.push((attribute, &quoted[..end]));
                rest = &quoted[end + 1..];
            } else {
                assert!(!after.starts_with('='), "a value without quotes in <{name}>");
                attributes.push((attribute, ""));
                rest = after;
            }
        }
    }
}

/// Every element that is opened is closed, in order.
pub fn assert_well_formed(html: &str) {
    assert!(html.starts_with("<!DOCTYPE html>"));
    let mut open: Vec<&str> = Vec::new();
    for tag in Page::of(html).tags {
        if VOID.contains(&tag.name) {
            assert!(!tag.closing, "</{}> of a void element", tag.name);
        } else if tag.closing {
            assert_eq!(open.pop(), Some(tag.name), "closed out of order");
        } else {
            open.push(tag.name);
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
}

/// Text as the page writes it.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
