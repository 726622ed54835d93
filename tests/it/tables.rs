//! Tables in rows and columns, for people and for programs.

use leveloff::drill::table;
use leveloff::export::table::{Cell, Table};

#[test]
fn a_table_is_aligned_for_people_and_plain_for_programs() {
    let table = Table {
        head: vec!["title", "best"],
        rows: vec![
            vec![Cell::text("Höhe, \"am Kai\""), Cell::Number(7.25, 1)],
            vec![Cell::text("船の上"), Cell::maybe(None, 1)],
        ],
    };
    let text = "title           best\nHöhe, \"am Kai\"   7.2\n船の上             -\n";
    assert_eq!(table.text(), text);
    let csv = "title,best\n\"Höhe, \"\"am Kai\"\"\",7.25\n船の上,\n";
    assert_eq!(table.csv(), csv);
}

/// Spreadsheets leave a tab where the last cell of a row is empty.
#[test]
fn a_row_may_end_in_an_empty_cell() {
    let text = "\u{feff}t\taltitude\tlever\r\n0\t1500\t\r\n1\t\t\n2\t1498\t0.4 \n\t\t\n";
    let rows: Vec<Vec<&str>> = table::lines(text)
        .map(|row| row.cells.iter().map(|cell| cell.text).collect())
        .collect();
    let wanted = [
        ["t", "altitude", "lever"],
        ["0", "1500", ""],
        ["1", "", ""],
        ["2", "1498", "0.4"],
    ];
    assert_eq!(rows, wanted, "a row of empty cells alone is blank");
    for row in table::lines(text) {
        for cell in row.cells {
            assert!(text[cell.at..].starts_with(cell.text), "{cell:?}");
        }
    }
}
