//! What can be changed in the sources of a crate.

use std::fmt;
use std::ops::Range;
use std::path::{Path, PathBuf};

use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{BinOp, Expr, Lit, ReturnType, Stmt, Type, UnOp};

use crate::shell;

/// A place that can be changed.
#[derive(Clone, Debug)]
pub struct Place {
    /// From the root of the project.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// That line, without its indent.
    pub text: String,
    /// What is replaced.
    pub bytes: Range<usize>,
    /// What stands there with the switch, whose number takes the place of [`NUMBER`].
    pub switched: String,
    /// What is changed, such as `- for +`.
    pub what: String,
}

/// Stands for the number of a switch.
pub const NUMBER: &str = "\u{1}";

/// Methods that are exchanged.
const METHODS: [(&str, &str); 14] = [
    ("high", "low"),
    ("low", "high"),
    ("larger", "smaller"),
    ("smaller", "larger"),
    ("max", "min"),
    ("min", "max"),
    ("any", "all"),
    ("all", "any"),
    ("is_some", "is_none"),
    ("is_none", "is_some"),
    ("is_some_and", "is_none_or"),
    ("is_none_or", "is_some_and"),
    ("at_most", "at_least"),
    ("at_least", "at_most"),
];
/// Words of `Verdict` that are made milder.
const MILDER: [(&str, &str); 2] = [("Blocker", "Caution"), ("Caution", "Note")];

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}:{} {}", self.file, self.line, self.what)
    }
}

impl Place {
    /// Whether two places share text.
    pub fn meets(&self, other: &Self) -> bool {
        let apart = self.bytes.end < other.bytes.start || other.bytes.end < self.bytes.start;
        self.file == other.file && !apart
    }
}

/// All places of a crate, in the order of files and lines.
pub fn of_crate(name: &str) -> Result<Vec<Place>, String> {
    let root = shell::root();
    let mut out = Vec::new();
    for path in sources(&root.join("crates").join(name).join("src"))? {
        let file = path.strip_prefix(&root).unwrap_or(&path).display().to_string();
        let text = std::fs::read_to_string(&path).map_err(|error| format!("{file}: {error}"))?;
        out.extend(of_text(&file, &text)?);
    }
    Ok(out)
}

/// The files of Rust below a folder.
pub fn sources(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let mut found = files(folder)?;
    found.retain(|path| path.extension().is_some_and(|kind| kind == "rs"));
    Ok(found)
}

/// All files below a folder.
pub fn files(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = std::fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        if path.is_dir() {
            out.extend(files(&path)?);
        } else {
            out.push(path);
        }
    }
    Ok(out)
}

fn of_text(file: &str, text: &str) -> Result<Vec<Place>, String> {
    let syntax = syn::parse_file(text).map_err(|error| format!("{file}: {error}"))?;
    let mut finder = Finder {
        file,
        text,
        places: Vec::new(),
    };
    finder.visit_file(&syntax);
    let mut places = finder.places;
    places.sort_by_key(|place| place.bytes.start);
    Ok(places)
}

struct Finder<'a> {
    file: &'a str,
    text: &'a str,
    places: Vec<Place>,
}

impl Finder<'_> {
    fn source(&self, item: &impl Spanned) -> &str {
        &self.text[item.span().byte_range()]
    }

    fn add(&mut self, bytes: Range<usize>, at: usize, switched: String, what: String) {
        let begin = self.text[..at].rfind('\n').map_or(0, |end| end + 1);
        let line = self.text[begin..].lines().next().unwrap_or_default();
        self.places.push(Place {
            file: self.file.to_owned(),
            line: self.text[..at].matches('\n').count() + 1,
            text: line.trim().to_owned(),
            bytes,
            switched,
            what,
        });
    }

    /// An expression that becomes another; `at` is the token that tells which line it is.
    fn other(&mut self, whole: &impl Spanned, at: proc_macro2::Span, changed: &str, what: String) {
        let own = self.source(whole);
        let switched = format!("(if crate::mutants::on({NUMBER}) {{ {changed} }} else {{ {own} }})");
        self.add(whole.span().byte_range(), at.byte_range().start, switched, what);
    }

    /// A condition that is turned round.
    fn negated(&mut self, condition: &Expr) {
        let own = self.source(condition);
        let switched = format!("(crate::mutants::on({NUMBER}) != ({own}))");
        let bytes = condition.span().byte_range();
        self.add(
            bytes.clone(),
            bytes.start,
            switched,
            "the other way round".to_owned(),
        );
    }

    /// Functions that give at once what says nothing.
    fn given(&mut self, signature: &syn::Signature, block: &syn::Block) {
        let ReturnType::Type(_, given) = &signature.output else {
            return;
        };
        let Type::Path(path) = &**given else {
            return;
        };
        let last = path.path.segments.last().map(|segment| segment.ident.to_string());
        let values: &[&str] = match last.as_deref() {
            Some("bool") => &["true", "false"],
            Some("Option") => &["None"],
            Some("Vec") => &["Vec::new()"],
            _ => &[],
        };
        if signature.constness.is_some() || block.stmts.is_empty() {
            return;
        }
        let inside = block.brace_token.span.open().byte_range().end;
        for value in values {
            let switched = format!(" if crate::mutants::on({NUMBER}) {{ return {value}; }} ");
            let name = signature.ident.span().byte_range().start;
            self.add(inside..inside, name, switched, format!("{value} at once"));
        }
    }
}

fn only_for_tests(attributes: &[syn::Attribute]) -> bool {
    let of = |attribute: &syn::Attribute| match &attribute.meta {
        syn::Meta::List(list) => list.path.is_ident("cfg") && list.tokens.to_string().contains("test"),
        syn::Meta::Path(path) => path.is_ident("test"),
        syn::Meta::NameValue(_) => false,
    };
    attributes.iter().any(of)
}

/// Whether a condition binds names, which must stay where it is.
fn binds(condition: &Expr) -> bool {
    match condition {
        Expr::Let(_) => true,
        Expr::Binary(binary) => binds(&binary.left) || binds(&binary.right),
        _ => false,
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if !only_for_tests(&item.attrs) {
            visit::visit_item_mod(self, item);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        if !only_for_tests(&item.attrs) {
            self.given(&item.sig, &item.block);
            self.visit_block(&item.block);
        }
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        if !only_for_tests(&item.attrs) {
            self.given(&item.sig, &item.block);
            self.visit_block(&item.block);
        }
    }

    // No switch can be asked while the compiler reckons.
    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_type(&mut self, _: &'ast Type) {}
    fn visit_pat(&mut self, _: &'ast syn::Pat) {}

    fn visit_expr_binary(&mut self, binary: &'ast syn::ExprBinary) {
        let other = match binary.op {
            BinOp::Add(_) => "-",
            BinOp::Sub(_) => "+",
            BinOp::Mul(_) => "/",
            BinOp::Div(_) => "*",
            BinOp::Lt(_) => ">=",
            BinOp::Le(_) => ">",
            BinOp::Gt(_) => "<=",
            BinOp::Ge(_) => "<",
            BinOp::Eq(_) => "!=",
            BinOp::Ne(_) => "==",
            BinOp::And(_) => "||",
            BinOp::Or(_) => "&&",
            _ => "",
        };
        if !other.is_empty() && !binds(&binary.left) && !binds(&binary.right) {
            let (left, right) = (self.source(&binary.left), self.source(&binary.right));
            let changed = format!("({left}) {other} ({right})");
            let what = format!("{other} for {}", self.source(&binary.op));
            self.other(binary, binary.op.span(), &changed, what);
        }
        visit::visit_expr_binary(self, binary);
    }

    fn visit_expr_unary(&mut self, unary: &'ast syn::ExprUnary) {
        if matches!(unary.op, UnOp::Not(_)) {
            let changed = self.source(&unary.expr).to_owned();
            self.other(unary, unary.op.span(), &changed, "without !".to_owned());
        }
        visit::visit_expr_unary(self, unary);
    }

    fn visit_expr_if(&mut self, branch: &'ast syn::ExprIf) {
        // What is compared is turned round where it is compared.
        if !matches!(*branch.cond, Expr::Let(_) | Expr::Binary(_) | Expr::Unary(_)) {
            self.negated(&branch.cond);
        }
        visit::visit_expr_if(self, branch);
    }

    // How much room is taken at first changes no result.
    fn visit_expr_call(&mut self, call: &'ast syn::ExprCall) {
        if !self.source(&call.func).ends_with("::with_capacity") {
            visit::visit_expr_call(self, call);
        }
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        let name = call.method.to_string();
        if let Some((_, other)) = METHODS.iter().find(|(of, _)| *of == name) {
            let (bytes, method) = (call.span().byte_range(), call.method.span().byte_range());
            let (before, after) = (
                &self.text[bytes.start..method.start],
                &self.text[method.end..bytes.end],
            );
            let changed = format!("{before}{other}{after}");
            self.other(call, call.method.span(), &changed, format!("{other} for {name}"));
        } else if name == "is_empty" || name == "contains" {
            let changed = format!("!{}", self.source(call));
            self.other(call, call.method.span(), &changed, format!("not {name}"));
        }
        visit::visit_expr_method_call(self, call);
    }

    fn visit_expr_path(&mut self, path: &'ast syn::ExprPath) {
        let segments: Vec<String> = path
            .path
            .segments
            .iter()
            .map(|segment| segment.ident.to_string())
            .collect();
        if let [.., of, word] = &segments[..]
            && of == "Verdict"
            && let Some((_, milder)) = MILDER.iter().find(|(of, _)| of == word)
        {
            let changed = format!("{}{milder}", self.source(path).trim_end_matches(word.as_str()));
            self.other(path, path.span(), &changed, format!("{milder} for {word}"));
        }
    }

    fn visit_expr_lit(&mut self, literal: &'ast syn::ExprLit) {
        if let Lit::Float(number) = &literal.lit {
            let own = self.source(number).to_owned();
            let zero = number.base10_parse::<f64>().is_ok_and(|number| number == 0.0);
            let changed = if zero {
                "1.0".to_owned()
            } else {
                format!("{own} * 1.25")
            };
            self.other(literal, number.span(), &changed, format!("{changed} for {own}"));
        }
    }

    fn visit_stmt(&mut self, statement: &'ast Stmt) {
        let (name, span) = match statement {
            Stmt::Expr(Expr::MethodCall(call), Some(_)) => (call.method.to_string(), call.method.span()),
            Stmt::Expr(Expr::Call(call), Some(_)) => (self.source(&call.func).to_owned(), call.span()),
            Stmt::Expr(Expr::Assign(assign), Some(_)) => ("=".to_owned(), assign.eq_token.span()),
            Stmt::Expr(Expr::Binary(binary), Some(_)) => {
                (self.source(&binary.op).to_owned(), binary.op.span())
            }
            _ => (String::new(), proc_macro2::Span::call_site()),
        };
        if !name.is_empty() {
            let own = self.source(statement);
            let switched = format!("if !crate::mutants::on({NUMBER}) {{ {own} }}");
            let at = span.byte_range().start;
            self.add(
                statement.span().byte_range(),
                at,
                switched,
                format!("{name} left out"),
            );
        }
        visit::visit_stmt(self, statement);
    }
}
