//! Tables in rows and columns, for people and for programs.

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
