//! The drag curve as a picture in plain text.

use leveloff::brief::drag_curve::DragCurve;
use leveloff::drill::library;

use super::assert_fits;
use crate::flying::aircraft;

/// The rows between the text above and the axis below, without their labels.
fn plot(picture: &[String]) -> Vec<Vec<char>> {
    let rows = &picture[1..picture.len() - 3];
    let cells = |line: &String| line.split_once('|').unwrap().1.chars().collect();
    rows.iter().map(cells).collect()
}

/// Row and column of a mark, which must appear once.
fn place(plot: &[Vec<char>], mark: char) -> (usize, usize) {
    let found: Vec<(usize, usize)> = (0..plot.len())
        .flat_map(|row| (0..plot[row].len()).map(move |column| (row, column)))
        .filter(|&(row, column)| plot[row][column] == mark)
        .collect();
    assert_eq!(found.len(), 1, "{mark}: {found:?}");
    found[0]
}

#[test]
fn it_keeps_its_size_and_its_letters() {
    for shipped in library::AIRCRAFT {
        let curve = DragCurve::of(&shipped.aircraft().unwrap(), 300.0);
        for (columns, rows) in [(72, 16), (100, 24), (72, 10)] {
            let picture = curve.picture(columns, rows);
            assert_fits(&picture, columns);
            assert_eq!(picture.len(), rows);
            assert!(picture.iter().all(|line| line.is_ascii()));
            // The curve reaches the picture's right edge.
            assert!(picture.iter().any(|line| line.len() == columns));
        }
        assert_eq!(curve.picture(1, 1), curve.picture(72, 10));
    }
}

#[test]
fn the_marks_stand_on_the_curve_where_their_speeds_are() {
    let curve = DragCurve::of(&aircraft("prop trainer"), 300.0);
    let plot = plot(&curve.picture(72, 16));
    let width = plot.iter().map(Vec::len).max().unwrap();
    let (slow_kt, fast_kt) = (curve.points[0].speed_kt, curve.points[40].speed_kt);
    let kt = |column: usize| slow_kt + (fast_kt - slow_kt) * column as f64 / (width - 1) as f64;
    let cell_kt = kt(1) - kt(0);
    let (low_n, high_n) = curve
        .points
        .iter()
        .fold((f64::MAX, 0.0_f64), |(low, high), point| {
            (low.min(point.thrust_n), high.max(point.thrust_n))
        });
    let cell_n = (high_n - low_n) / (plot.len() - 1) as f64;
    for (mark, speed_kt) in [
        ('O', curve.on_speed_kt),
        ('P', curve.min_power_kt.unwrap()),
        ('D', curve.min_drag_kt.unwrap()),
    ] {
        let (row, column) = place(&plot, mark);
        assert!(
            (kt(column) - speed_kt).abs() <= 0.51 * cell_kt,
            "{mark} at {} kt, not {speed_kt}",
            kt(column)
        );
        let nearest = curve.points.iter().min_by(|a, b| {
            let off = |kt: f64| (kt - speed_kt).abs();
            off(a.speed_kt).total_cmp(&off(b.speed_kt))
        });
        let thrust_n = high_n - row as f64 * cell_n;
        assert!(
            (thrust_n - nearest.unwrap().thrust_n).abs() <= cell_n,
            "{mark}"
        );
    }
    // Least thrust is in the last row, most in the corner.
    assert_eq!(place(&plot, 'D').0, plot.len() - 1);
    assert_eq!(plot[0][width - 1], '*');
}

#[test]
fn every_column_has_its_curve_and_no_gap() {
    for shipped in library::AIRCRAFT {
        let plot = plot(&DragCurve::of(&shipped.aircraft().unwrap(), 0.0).picture(72, 120));
        let width = plot.iter().map(Vec::len).max().unwrap();
        let mut last: Option<(usize, usize)> = None;
        for column in 0..width {
            let rows: Vec<usize> = (0..plot.len())
                .filter(|row| {
                    let cell = plot[*row].get(column).copied().unwrap_or(' ');
                    "*OPD".contains(cell)
                })
                .collect();
            let here = (rows[0], rows[rows.len() - 1]);
            assert_eq!(here.1 - here.0 + 1, rows.len(), "{}: {rows:?}", shipped.id);
            if let Some(last) = last {
                assert!(here.0 <= last.1 + 1 && last.0 <= here.1 + 1, "{column}");
            }
            last = Some(here);
        }
    }
}

#[test]
fn dots_are_slower_than_minimum_drag_only() {
    let curve = DragCurve::of(&aircraft("late jet"), 0.0);
    let picture = curve.picture(72, 16);
    let shown = plot(&picture);
    let (_, least) = place(&shown, 'D');
    let dots = |columns: std::ops::Range<usize>| {
        let cell = |row: &Vec<char>, column| row.get(column).copied() == Some('.');
        columns
            .filter(|column| shown.iter().any(|row| cell(row, *column)))
            .count()
    };
    assert!(dots(0..least) >= least / 2 - 1);
    assert_eq!(dots(least + 1..72), 0);
    assert!(picture[15].contains(&format!("D minimum drag {:.1}", curve.min_drag_kt.unwrap())));

    // With hardly any induced drag there is no back side above the stall.
    let mut clean = aircraft("late jet");
    clean.k = 0.001;
    let front = DragCurve::of(&clean, 0.0);
    assert_eq!(front.min_drag_kt, None);
    let picture = front.picture(72, 16);
    assert!(picture[15].ends_with("minimum drag lies below the stall"));
    assert!(plot(&picture).iter().flatten().all(|cell| *cell != '.'));
}

#[test]
fn the_axis_names_speeds_under_their_ticks() {
    let curve = DragCurve::of(&aircraft("deck jet"), 300.0);
    let picture = curve.picture(72, 16);
    let (axis, names) = (&picture[13], &picture[14]);
    let start = axis.find('+').unwrap() + 1;
    let width = axis.len() - start;
    let (slow_kt, fast_kt) = (curve.points[0].speed_kt, curve.points[40].speed_kt);
    let mut ends = 0;
    let mut seen = 0;
    for name in names.split_whitespace() {
        let at = ends + names[ends..].find(name).unwrap();
        ends = at + name.len();
        let kt: f64 = name.parse().unwrap();
        assert_eq!(kt % 5.0, 0.0, "{names}");
        let tick = at + name.len() / 2 - start;
        let wanted = (kt - slow_kt) / (fast_kt - slow_kt) * (width - 1) as f64;
        assert!(
            (tick as f64 - wanted).abs() <= 0.51,
            "{name}: {tick}, {wanted}"
        );
        assert_eq!(&axis[start + tick..=start + tick], "+");
        seen += 1;
    }
    assert!(seen >= 4, "{names}");
}
