//! A debrief as one self-contained page to print or send, without scripts.

use std::fmt::Write;

use super::CAUTION;
use super::rivals::places;
use super::svg::{self, BAND, GROUND, INK, PAGE, QUIET, text};
use super::text::{place_line, points};
use super::told::{self, Debriefed, FigureRow};
use crate::drill::air_words;
use crate::drill::reader::clock;
use crate::score::metrics;
use crate::units::TICK_S;

/// The page. A4 portrait has room for the picture, the bill and the figures of four tasks.
pub fn page(flown: &Debriefed) -> String {
    let Debriefed { run, weighed, .. } = flown;
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
        points(&weighed.score),
        text(&drill.id),
        text(&drill.aircraft.name),
        text(&air_words::in_words(&drill.air)),
        run.seed(),
        text(&flown.hand_word()),
        text(&flown.flown()),
    );
    if !weighed.first.is_empty() {
        let _ = writeln!(out, "<p class=\"first\">{}</p>", text(&weighed.first));
    }
    let _ = writeln!(out, "<figure>\n{}</figure>", svg::picture(run, weighed));
    for said in flown.said() {
        if !said.is_empty() {
            let _ = writeln!(out, "<p>{}</p>", text(&said.join(" ")));
        }
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

/// The colours of the picture by their names, and the rules that use them.
fn style() -> String {
    format!(
        ":root {{ --page: {PAGE}; --ink: {INK}; --quiet: {QUIET}; --band: {BAND}; --ground: {GROUND}; }}\n{}",
        include_str!("page.css")
    )
}

/// The lines of all bills in their order in the debrief, each with its sentence.
fn bill(out: &mut String, flown: &Debriefed) {
    let weighed = &flown.weighed;
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
        // Do not repeat the first sentence.
        let said = match weighed.first.ends_with(&line.sentence) {
            true => String::new(),
            false => format!("<br>{}", text(&line.sentence)),
        };
        let until = line
            .until
            .map(|tick| format!(", could have been saved until {}", at(tick)));
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

/// Number of tasks side by side in a table.
const BESIDE: usize = 4;

/// Each task's figures, beside those of par.
fn figures(out: &mut String, flown: &Debriefed) {
    let rivals = flown.rivals();
    let tasks = places(&flown.weighed.score).map(|(place, task)| {
        let figures = told::figures(place, task, rivals.as_ref());
        (place_line(&flown.run, place, task), figures)
    });
    let tasks: Vec<(String, Vec<FigureRow>)> = tasks.collect();
    let beside = rivals.map_or("", |_| ": yours and par's");
    let _ = writeln!(out, "<h2>Figures{beside}</h2>");
    for group in tasks.chunks(BESIDE) {
        out.push_str("<div class=\"wide\"><table>\n<tr><td></td>");
        for (line, _) in group {
            let _ = write!(out, "<th colspan=\"2\">{}</th>", text(line));
        }
        out.push_str("</tr>\n");
        for metric in metrics::METRICS {
            let rows = group.iter().map(|(_, figures)| {
                let mut figures = figures.iter();
                figures.find(|row| row.metric.id == metric.id)
            });
            let rows: Vec<Option<&FigureRow>> = rows.collect();
            if rows.iter().all(Option::is_none) {
                continue;
            }
            let unit = match metric.told_in() {
                "" => String::new(),
                unit => format!(", {unit}"),
            };
            let _ = write!(out, "<tr><td class=\"kept\">{}{unit}</td>", metric.label);
            for row in rows {
                let par = row.and_then(|row| row.others[0].as_deref());
                let _ = write!(
                    out,
                    "<td class=\"n\">{}</td><td class=\"n quiet\">{}</td>",
                    text(row.map_or("", |row| &row.yours)),
                    text(par.unwrap_or_default())
                );
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</table></div>\n");
    }
}

/// The learner's marks, and the notes of others.
fn marks_and_notes(out: &mut String, flown: &Debriefed) {
    let said = flown.marks_and_notes("Mark ");
    if !said.is_empty() {
        out.push_str("<h2>Marks and notes</h2>\n");
    }
    for (_, said) in said {
        let _ = writeln!(out, "<p>{}</p>", text(&said));
    }
}
