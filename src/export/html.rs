//! A debrief as one page to print or send: it holds everything it shows, and no script.

use std::fmt::Write;

use super::CAUTION;
use super::material::Material;
use super::rivals::{Rivals, places};
use super::svg::{self, BAND, GROUND, INK, PAGE, QUIET, text};
use super::text::{note_line, place_line, points};
use crate::drill::air_words;
use crate::score::{Figure, metrics, story};
use crate::units::TICK_S;
use crate::why::words::clock;

/// The page. A4 upright has room for the picture, the bill and the figures of four tasks.
pub fn page(flown: &Material) -> String {
    let Material {
        origin,
        run,
        weighed,
        ..
    } = flown;
    let drill = run.drill();
    let mut out = String::new();
    let title = text(&drill.title);
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{title}: debrief</title>\n<style>\n{}</style>\n</head>\n<body>\n<main>\n",
        style()
    );
    let _ = writeln!(
        out,
        "<h1>{title}<span>{}</span></h1>\n<p class=\"quiet\">{}: {}, {}, seed {}, hand {}<br>{}</p>",
        points(weighed.score.points),
        text(&drill.id),
        text(&drill.aircraft.name),
        text(&air_words::in_words(&drill.air)),
        run.seed(),
        text(&origin.hand()),
        text(&origin.flown()),
    );
    if !weighed.first.is_empty() {
        let _ = writeln!(out, "<p class=\"first\">{}</p>", text(&weighed.first));
    }
    let _ = writeln!(out, "<figure>\n{}</figure>", svg::picture(run, weighed));
    let told: Vec<String> = story::tell(run, &weighed.score);
    let _ = writeln!(out, "<p>{}</p>", text(&told.join(" ")));
    if !origin.told().is_empty() {
        let _ = writeln!(out, "<p>{}</p>", text(&origin.told().join(" ")));
    }
    bill(&mut out, flown);
    figures(&mut out, flown);
    marks_and_notes(&mut out, flown);
    let _ = writeln!(
        out,
        "<footer>{}</footer>\n</main>\n</body>\n</html>",
        text(&CAUTION.replace('\n', " "))
    );
    out
}

fn style() -> String {
    format!(
        "@page {{ size: A4; margin: 12mm; }}\n\
         body {{ margin: 0; background: {PAGE}; color: {INK}; font: 14px/1.4 sans-serif; }}\n\
         main {{ max-width: 186mm; margin: 0 auto; padding: 1em; }}\n\
         h1 {{ font-size: 1.5em; margin: 0; }}\n\
         h1 span {{ float: right; }}\n\
         h2 {{ font-size: 1.1em; margin: 1em 0 0.2em; }}\n\
         p {{ margin: 0.4em 0; }}\n\
         .quiet, footer {{ color: {QUIET}; }}\n\
         .first {{ border-left: 4px solid {BAND}; background: {GROUND}; padding: 0.5em 0.8em; font-weight: bold; }}\n\
         figure {{ margin: 0.5em 0; }}\n\
         svg {{ display: block; width: 100%; height: auto; }}\n\
         .wide {{ overflow-x: auto; }}\n\
         table {{ border-collapse: collapse; width: 100%; font-size: 0.85em; font-variant-numeric: tabular-nums; }}\n\
         th, td {{ text-align: left; padding: 0.1em 0.5em; border-bottom: 1px solid {QUIET}; vertical-align: top; }}\n\
         .n {{ text-align: right; white-space: nowrap; }}\n\
         .kept {{ white-space: nowrap; }}\n\
         footer {{ margin-top: 1em; font-size: 0.85em; }}\n\
         @media print {{\n\
         body {{ font-size: 9.5pt; line-height: 1.3; }}\n\
         main {{ max-width: none; padding: 0; }}\n\
         .wide {{ overflow: visible; break-inside: avoid; }}\n\
         svg {{ max-height: 88mm; }}\n\
         th, td {{ padding: 0 0.4em; }}\n\
         tr, figure, footer {{ break-inside: avoid; }}\n\
         h2 {{ break-after: avoid; }}\n\
         .first {{ print-color-adjust: exact; }}\n\
         }}\n"
    )
}

/// The lines of all bills, the dearest first, with what is said of each.
fn bill(out: &mut String, flown: &Material) {
    let weighed = flown.weighed;
    let told = weighed.told();
    if told.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "<h2>Where the points went</h2>\n<table>\n<tr><th>line</th><th>task</th><th>when</th><th class=\"n\">points</th><th>what</th></tr>"
    );
    for (index, line) in told.iter().enumerate() {
        let at = |tick: u64| clock(tick as f64 * TICK_S);
        // What the first sentence says is not said twice.
        let said = match weighed.first.ends_with(&line.sentence) {
            true => String::new(),
            false => format!("<br>{}", text(&line.sentence)),
        };
        let until = line
            .until
            .map(|tick| format!(", to be saved until {}", at(tick)));
        let _ = writeln!(
            out,
            "<tr><td><b>{}</b></td><td>{}</td><td class=\"kept\">{}-{}</td><td class=\"n\">-{:.0}</td><td>{}{}{said}</td></tr>",
            index + 1,
            flown.run.leg_number(line.leg),
            at(line.from),
            at(line.to),
            line.points,
            text(&line.kind.label(line.amount)),
            until.unwrap_or_default()
        );
    }
    out.push_str("</table>\n");
}

/// Tasks beside each other, so many in a table.
const BESIDE: usize = 4;

/// Each task's figures, and those of par beside them.
fn figures(out: &mut String, flown: &Material) {
    let rivals = flown.pars.map(|pars| Rivals::of(flown.run, pars));
    let tasks = places(&flown.weighed.score);
    let tasks: Vec<_> = tasks
        .map(|(place, score)| (place_line(place, score), place, score))
        .collect();
    out.push_str("<h2>Figures: yours, and par's</h2>\n");
    for group in tasks.chunks(BESIDE) {
        out.push_str("<div class=\"wide\"><table>\n<tr><td></td>");
        for (line, ..) in group {
            let _ = write!(out, "<th colspan=\"2\">{}</th>", text(line));
        }
        out.push_str("</tr>\n");
        for metric in metrics::METRICS {
            let cells: Vec<Option<(String, String)>> = group
                .iter()
                .map(|(_, place, score)| {
                    let mut own = metrics::of_kind(&score.task.kind);
                    let index = own.position(|own| own.key == metric.key)?;
                    let value = score.figures.get(index)?;
                    let par = rivals.as_ref().and_then(|rivals| rivals.par(*place, score));
                    let par = par.and_then(|par| par.figures.get(index));
                    let is_number = !matches!(value, Figure::Gates(_));
                    let par = par.filter(|_| is_number).map(|par| metric.told(par));
                    Some((metric.told(value), par.unwrap_or_default()))
                })
                .collect();
            if cells.iter().flatten().all(|(own, _)| own == "-") {
                continue;
            }
            let unit = match metric.told_in() {
                "" => String::new(),
                unit => format!(", {unit}"),
            };
            let _ = write!(out, "<tr><td class=\"kept\">{}{unit}</td>", metric.label);
            for cell in cells {
                let (own, par) = cell.unwrap_or_default();
                let _ = write!(
                    out,
                    "<td class=\"n\">{}</td><td class=\"n quiet\">{}</td>",
                    text(&own),
                    text(&par)
                );
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</table></div>\n");
    }
}

/// What the learner marked, and what others said.
fn marks_and_notes(out: &mut String, flown: &Material) {
    let marks = flown.origin.marks().iter().enumerate();
    let marks =
        marks.map(|(n, tick)| format!("Mark {} at {}", n + 1, clock(*tick as f64 * TICK_S)));
    let said: Vec<String> = marks.chain(flown.notes.iter().map(note_line)).collect();
    if said.is_empty() {
        return;
    }
    out.push_str("<h2>Marks and notes</h2>\n");
    for said in said {
        let _ = writeln!(out, "<p>{}</p>", text(&said));
    }
}
