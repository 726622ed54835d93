//! The chosen drill beside the list: what it asks in words and as a picture, its aeroplane, the latest runs, and what costs most
//! in them.

use ratatui::layout::Rect;

use crate::drill::reader::plain;
use crate::drill::{Drill, air_words};
use crate::export::progress_words::name;
use crate::plan::fpm_per_percent;
use crate::progress::{Record, costs};
use crate::sim::trim;
use crate::tui::canvas::{self, Canvas};
use crate::tui::screens::words;
use crate::tui::theme::Role;
use crate::tui::widgets::page::Page;
use crate::tui::widgets::{asked, bars};
use crate::units::KT;

/// From this height on there is room for everything.
const TALL: u16 = 45;
/// How many of the costliest kinds of line are listed.
const DEAREST: usize = 3;

/// Draws the drill; nothing in it takes long to work out. The picture of what is asked gets the room that the latest runs leave.
pub fn draw(drill: &Drill, record: Option<&Record>, area: Rect, canvas: &mut Canvas) {
    // Once the drill has been flown, the picture is worth more than the numbers of the aeroplane.
    let page = told(drill, record.is_none() || area.height >= TALL);
    let mut rest = area;
    canvas::top(&mut rest, page.rows(area.width) + 1);
    page.draw(&mut 0, area, canvas);
    let costs = record.map(|record| costs(&record.latest));
    let dearest = costs.iter().flat_map(|costs| {
        let told = costs.lines.iter().take(DEAREST);
        told.map(|cost| (cost.points / costs.runs as f64, name(&cost.key)))
    });
    let mut costly = Page::default();
    for (points, name) in dearest {
        costly.push(format!("{points:>5.1} points a run   {name}"), Role::Ink);
    }
    // The bars are lower where only that makes room for the picture.
    let left = |bars: u16| {
        let runs = match record {
            Some(_) => bars + bars::MORE + 3 + DEAREST as u16,
            None => 2,
        };
        asked::ROWS.1.min(rest.height.saturating_sub(runs))
    };
    let (high, low) = bars::ROWS;
    let has_room = |bars| left(bars) >= asked::ROWS.0;
    let is_low = has_room(low) && !has_room(high);
    let bars_rows = if is_low { low } else { high };
    let height = left(bars_rows);
    if height >= asked::ROWS.0 {
        asked::draw(drill, canvas::top(&mut rest, height), canvas);
        canvas::top(&mut rest, 1);
    }
    let Some(record) = record.filter(|_| bars_rows + bars::MORE <= rest.height) else {
        if record.is_none() && rest.height > 0 {
            let none = "no complete run yet; par, a skilled run, is 75 points";
            canvas.put(rest.x, rest.y, none, Role::Quiet);
        }
        return;
    };
    bars::draw(&record.points(), bars_rows, rest, canvas);
    canvas::top(&mut rest, bars_rows + bars::MORE + 1);
    if costly.rows(rest.width) > 0 && rest.height > 1 {
        let head = canvas::top(&mut rest, 1);
        canvas.put(
            head.x,
            head.y,
            "what costs you most in these runs",
            Role::Quiet,
        );
        costly.draw(&mut 0, rest, canvas);
    }
}

/// The drill, its aeroplane in one line of text (three with the numbers), and its tasks.
fn told(drill: &Drill, with_numbers: bool) -> Page {
    let (aircraft, h_m) = (&drill.aircraft, drill.start.altitude_m);
    let engine = &aircraft.engine;
    let level = trim::on_speed(aircraft, h_m, 0.0);
    let mut page = Page::default();
    page.push(&drill.title, Role::Strong);
    page.push(&drill.about, Role::Ink);
    page.gap();
    let (name, air) = (&aircraft.name, air_words::in_words(&drill.air));
    let mass_kg = plain(aircraft.mass_kg.round());
    let speed_kt = drill.start_trim().speed_mps / KT;
    let flown = format!("{name}, {mass_kg} kg, on speed at {speed_kt:.0} kt; {air}");
    page.push(flown, Role::Quiet);
    if with_numbers {
        page.push(&aircraft.about, Role::Quiet);
        let worth_fpm = fpm_per_percent(aircraft, h_m);
        let [here_s, idle_s] = [level.engine, engine.idle_fraction].map(|at| engine.answer_s(at));
        let worth = format!("1 % of lever is worth {worth_fpm:.0} ft/min");
        let answers = format!("the engine answers in {here_s:.1} s, at idle in {idle_s:.1} s");
        page.push(format!("{worth}; {answers}"), Role::Quiet);
    }
    page.gap();
    for (index, task) in drill.tasks.iter().enumerate() {
        let scored = if task.scored { "" } else { "   (unscored)" };
        let asked = words::task(&task.kind, words::from_m(drill, index));
        page.push(format!("{}  {asked}{scored}", index + 1), Role::Ink);
    }
    page
}
