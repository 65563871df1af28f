//! Puts small changes of the library behind a switch: `crate::mutant(7)` is true where the seventh change is asked for.
//! The library is then built once, and its tests are run once for each change.
//!
//! `balance-mutants CHANGES.json WORKSPACE [LEFT_OUT...]` changes the sources below WORKSPACE in place. CHANGES.json is a list
//! as `cargo mutants --list --json` writes it; a change is known by its number there. It prints the numbers of changes that
//! cannot be switched: in constants, in a condition with `let`, a field left out of a struct.

use std::collections::{BTreeMap, HashSet};

use proc_macro2::{LineColumn, Span};
use serde_json::Value;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// One change: what kind it is, what stands there instead, where it begins (lines and columns from 1).
struct Change {
    number: usize,
    genre: String,
    instead: String,
    line: usize,
    column: usize,
}

impl Change {
    fn read(number: usize, value: &Value) -> Option<Self> {
        let text = |key: &str| value[key].as_str().map(str::to_owned);
        let place = |key: &str| Some(value["span"]["start"][key].as_u64()? as usize);
        Some(Self {
            number,
            genre: text("genre")?,
            instead: text("replacement")?,
            line: place("line")?,
            column: place("column")?,
        })
    }
}

/// A file's text and what has to be written into it.
struct File<'a> {
    text: &'a str,
    /// Where each line begins.
    lines: Vec<usize>,
    changes: Vec<Change>,
    switched: HashSet<usize>,
    /// Place, order at that place, words.
    written: Vec<(usize, i64, String)>,
    /// How many constants or constant functions are around.
    constants: usize,
}

impl<'a> File<'a> {
    fn new(text: &'a str, changes: Vec<Change>) -> Self {
        let lines = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, lines, changes, switched: HashSet::new(), written: Vec::new(), constants: 0 }
    }

    fn at(&self, place: LineColumn) -> usize {
        let start = self.lines[place.line - 1];
        let line = &self.text[start..];
        start + line.char_indices().nth(place.column).map_or(line.len(), |(at, _)| at)
    }

    fn range(&self, of: &impl Spanned) -> std::ops::Range<usize> {
        self.at(of.span().start())..self.at(of.span().end())
    }

    /// The changes of one kind that begin here; none among constants, which know no switch.
    fn starting(&self, genre: &str, span: Span) -> Vec<(usize, String)> {
        let start = span.start();
        let here =
            |own: &&Change| own.genre == genre && (own.line, own.column) == (start.line, start.column + 1);
        let found = self.changes.iter().filter(here).map(|own| (own.number, own.instead.clone()));
        if self.constants > 0 { Vec::new() } else { found.collect() }
    }

    /// Writes before and after a range. Ranges come from the outside inwards.
    fn write_around(&mut self, range: std::ops::Range<usize>, before: String, after: &str) {
        let order = self.written.len() as i64 + 1;
        self.written.push((range.start, order, before));
        self.written.push((range.end, -order, after.to_owned()));
    }

    /// An expression becomes `(if crate::mutant(7) { other } else { expression })`.
    fn switch(&mut self, range: std::ops::Range<usize>, found: Vec<(usize, String)>) {
        let mut before = String::from("(");
        for (number, other) in found {
            before += &format!("if crate::mutant({number}) {{ {other} }} else ");
            self.switched.insert(number);
        }
        self.write_around(range, before + "{", "})");
    }

    fn finished(mut self) -> String {
        // At one place: what ends (inner first) before what begins (outer first).
        self.written.sort_by_key(|(at, order, _)| (*at, *order));
        let (mut out, mut from) = (String::new(), 0);
        for (at, _, words) in &self.written {
            out += &self.text[from..*at];
            out += words;
            from = *at;
        }
        out + &self.text[from..]
    }
}

/// Whether a condition binds names (`let`), which no switch may come between.
fn binds(expression: &syn::Expr) -> bool {
    struct Found(bool);
    impl Visit<'_> for Found {
        fn visit_expr_let(&mut self, _: &syn::ExprLet) {
            self.0 = true;
        }
        fn visit_block(&mut self, _: &syn::Block) {}
        fn visit_expr_closure(&mut self, _: &syn::ExprClosure) {}
    }
    let mut found = Found(false);
    found.visit_expr(expression);
    found.0
}

impl<'ast> Visit<'ast> for File<'_> {
    fn visit_expr_binary(&mut self, own: &'ast syn::ExprBinary) {
        let found = self.starting("BinaryOperator", own.op.span());
        if !found.is_empty() && !binds(&own.left) && !binds(&own.right) {
            let (left, right) = (self.range(&own.left), self.range(&own.right));
            let (before, after) = (&self.text[left.clone()], &self.text[right.clone()]);
            let found = found
                .into_iter()
                .map(|(number, sign)| (number, format!("{before} {sign} {after}")))
                .collect();
            self.switch(left.start..right.end, found);
        }
        visit::visit_expr_binary(self, own);
    }

    fn visit_expr_unary(&mut self, own: &'ast syn::ExprUnary) {
        let found = self.starting("UnaryOperator", own.op.span());
        if !found.is_empty() && !binds(&own.expr) {
            let without = &self.text[self.range(&own.expr)];
            let found = found.into_iter().map(|(number, _)| (number, without.to_owned())).collect();
            self.switch(self.range(own), found);
        }
        visit::visit_expr_unary(self, own);
    }

    /// A function that gives another value does so before its first statement.
    fn visit_block(&mut self, own: &'ast syn::Block) {
        if let Some(first) = own.stmts.first() {
            for (number, value) in self.starting("FnValue", first.span()) {
                let at = self.at(first.span().start());
                self.write_around(at..at, format!("if crate::mutant({number}) {{ return {value}; }} "), "");
                self.switched.insert(number);
            }
        }
        visit::visit_block(self, own);
    }

    fn visit_arm(&mut self, own: &'ast syn::Arm) {
        for (number, _) in self.starting("MatchArm", own.pat.span()) {
            if own.guard.is_none() {
                let at = self.at(own.pat.span().end());
                self.write_around(at..at, format!(" if !crate::mutant({number})"), "");
                self.switched.insert(number);
            }
        }
        if let Some((_, guard)) = &own.guard {
            let found = self.starting("MatchArmGuard", guard.span());
            if !found.is_empty() && !binds(guard) {
                self.switch(self.range(guard), found);
            }
        }
        visit::visit_arm(self, own);
    }

    fn visit_item_const(&mut self, own: &'ast syn::ItemConst) {
        self.constants += 1;
        visit::visit_item_const(self, own);
        self.constants -= 1;
    }

    fn visit_impl_item_const(&mut self, own: &'ast syn::ImplItemConst) {
        self.constants += 1;
        visit::visit_impl_item_const(self, own);
        self.constants -= 1;
    }

    fn visit_item_static(&mut self, own: &'ast syn::ItemStatic) {
        self.constants += 1;
        visit::visit_item_static(self, own);
        self.constants -= 1;
    }

    fn visit_item_fn(&mut self, own: &'ast syn::ItemFn) {
        let constant = usize::from(own.sig.constness.is_some());
        self.constants += constant;
        visit::visit_item_fn(self, own);
        self.constants -= constant;
    }

    fn visit_impl_item_fn(&mut self, own: &'ast syn::ImplItemFn) {
        let constant = usize::from(own.sig.constness.is_some());
        self.constants += constant;
        visit::visit_impl_item_fn(self, own);
        self.constants -= constant;
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [changes, workspace, left_out @ ..] = words.as_slice() else {
        return Err("balance-mutants CHANGES.json WORKSPACE [LEFT_OUT...]".into());
    };
    let left_out: HashSet<usize> = left_out.iter().map(|word| word.parse()).collect::<Result<_, _>>()?;
    let listed: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(changes)?)?;
    let mut of_file: BTreeMap<&str, Vec<Change>> = BTreeMap::new();
    let mut not_switched = Vec::new();
    for (number, value) in listed.iter().enumerate().filter(|(number, _)| !left_out.contains(number)) {
        match (value["file"].as_str(), Change::read(number, value)) {
            (Some(file), Some(change)) => of_file.entry(file).or_default().push(change),
            _ => not_switched.push(number),
        }
    }
    for (name, changes) in of_file {
        let path = std::path::Path::new(workspace).join(name);
        let text = std::fs::read_to_string(&path)?;
        let numbers: Vec<usize> = changes.iter().map(|own| own.number).collect();
        let mut file = File::new(&text, changes);
        file.visit_file(&syn::parse_file(&text)?);
        not_switched.extend(numbers.into_iter().filter(|number| !file.switched.contains(number)));
        std::fs::write(&path, file.finished())?;
    }
    let not_switched: Vec<String> = not_switched.iter().map(ToString::to_string).collect();
    println!("{}", not_switched.join(" "));
    Ok(())
}
