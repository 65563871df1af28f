//! Rows of a table for other engines: NDJSON or CSV, with the same columns in every row.

use serde_json::Value;

use crate::clean::no_formula;

/// How rows are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowForm {
    /// One JSON object on a line, with every column in every row.
    Ndjson,
    /// A header, then one row on a line (unless a text of it has line ends of its own).
    Csv,
}

/// One value of a row. A number always has a decimal point, so that a column never changes its type.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell<'a> {
    Text(&'a str),
    Number(Option<f64>),
    Integer(Option<i64>),
    Flag(bool),
}

impl<'a> Cell<'a> {
    /// A text that may be missing.
    pub fn maybe(text: Option<&'a str>) -> Self {
        Self::Text(text.unwrap_or_default())
    }

    fn json(&self) -> Value {
        match self {
            Self::Text("") => Value::Null,
            Self::Text(text) => (*text).into(),
            Self::Number(number) => (*number).into(),
            Self::Integer(integer) => (*integer).into(),
            Self::Flag(flag) => (*flag).into(),
        }
    }

    fn csv(&self) -> String {
        match self {
            Self::Text(text) => no_formula(text).into_owned(),
            Self::Number(number) => number.map(|number| format!("{number:?}")).unwrap_or_default(),
            Self::Integer(integer) => integer.map(|integer| integer.to_string()).unwrap_or_default(),
            Self::Flag(flag) => flag.to_string(),
        }
    }
}

/// A table's columns and how its rows are written.
#[derive(Debug, Clone)]
pub(super) struct Table {
    pub columns: Vec<String>,
    pub form: RowForm,
}

impl Table {
    /// What comes before the first row.
    pub fn head(&self) -> String {
        match self.form {
            RowForm::Ndjson => String::new(),
            RowForm::Csv => csv_line(self.columns.iter().cloned()),
        }
    }

    /// One row with its line end; columns without a cell at its end are empty.
    pub fn row(&self, cells: &[Cell<'_>]) -> String {
        let nothing = Cell::Number(None);
        let cells = cells.iter().chain(std::iter::repeat(&nothing)).take(self.columns.len());
        match self.form {
            RowForm::Csv => csv_line(cells.map(Cell::csv)),
            RowForm::Ndjson => {
                let one = |(name, cell): (&String, &Cell<'_>)| {
                    format!("{}:{}", Value::from(name.as_str()), cell.json())
                };
                let all: Vec<String> = self.columns.iter().zip(cells).map(one).collect();
                format!("{{{}}}\n", all.join(","))
            }
        }
    }
}

fn csv_line(cells: impl Iterator<Item = String>) -> String {
    let mut line = csv::Writer::from_writer(Vec::new());
    line.write_record(cells.map(String::into_bytes)).expect("memory takes every row");
    let bytes = line.into_inner().expect("memory takes every row");
    String::from_utf8(bytes).expect("rows of text are text")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_every_column_and_no_cell_is_a_formula() {
        let columns: Vec<String> = ["name", "mass_g", "place", "known", "more"].map(String::from).into();
        let cells =
            [Cell::Text("=A1, \"two\""), Cell::Number(Some(20.0)), Cell::Integer(Some(3)), Cell::Flag(true)];
        let csv = Table { columns: columns.clone(), form: RowForm::Csv };
        assert_eq!(csv.head(), "name,mass_g,place,known,more\n");
        assert_eq!(csv.row(&cells), "\"'=A1, \"\"two\"\"\",20.0,3,true,\n");
        let ndjson = Table { columns, form: RowForm::Ndjson };
        assert_eq!(ndjson.head(), "");
        let wanted =
            "{\"name\":\"=A1, \\\"two\\\"\",\"mass_g\":20.0,\"place\":3,\"known\":true,\"more\":null}\n";
        assert_eq!(ndjson.row(&cells), wanted);
    }
}
