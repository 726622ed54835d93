//! Before flying: what is asked, and the numbers to go in with.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::words;
use crate::brief::power_card::{CardRow, WATCHED_S};
use crate::brief::{DrillBrief, PowerCard};
use crate::drill::Drill;
use crate::drill::air_words;
use crate::drill::reader::plain;
use crate::run::recording::Aids;
use crate::tui::echo::Choice;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::page::Page;
use crate::units::KT;

/// From here on the power card stands beside the text.
const WIDE: u16 = 136;
const CARD_WIDTH: u16 = 58;

/// What the screen shows.
pub struct Briefing<'a> {
    /// The drill.
    pub drill: &'a Drill,
    /// The best points on it so far.
    pub best: Option<f64>,
    /// How much the screen will help.
    pub aids: Aids,
    /// Which run will be drawn beside one's own.
    pub echo: Choice,
    /// Its numbers.
    pub brief: &'a DrillBrief,
    /// Its power card: None while it is being computed, Some(None) where there is none.
    pub card: Option<Option<&'a PowerCard>>,
}

/// Draws the brief as a screen of its own, from line `scroll` of its text on.
pub fn draw(briefing: &Briefing, scroll: &mut u16, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let drill = briefing.drill;
    let title = Line::from(vec![
        Span::styled(format!(" {}", drill.title), theme.style(Role::Strong)),
        Span::styled(
            format!(
                "   {} {} {} kg",
                drill.aircraft.name,
                theme.mark(Mark::Dot),
                plain(drill.aircraft.mass_kg.round())
            ),
            theme.style(Role::Quiet),
        ),
    ]);
    let aids = Line::styled(
        format!(
            "echo {}   aids {} ",
            briefing.echo.word(),
            words::aids(briefing.aids)
        ),
        theme.style(Role::Ink),
    );
    words::row(buffer, area, area.y, title, aids);
    let inside = Rect {
        x: area.x + 1,
        y: area.y + 2,
        width: area.width - 2,
        height: area.height - 4,
    };
    let mut text = numbers(briefing);
    let more = if area.width >= WIDE {
        let left = Rect {
            width: inside.width - CARD_WIDTH - 3,
            ..inside
        };
        let right = Rect {
            x: inside.right() - CARD_WIDTH,
            width: CARD_WIDTH,
            ..inside
        };
        let mut side = Page::default();
        card(&mut side, briefing.card);
        side.draw(&mut 0, right, buffer, theme);
        text.draw(scroll, left, buffer, theme)
    } else {
        text.gap();
        card(&mut text, briefing.card);
        text.draw(scroll, inside, buffer, theme)
    };
    let keys = " enter flies   g guess first   w watch";
    words::text_foot(keys, more, area, buffer, theme);
}

/// What is asked, and the numbers to go in with.
fn numbers(briefing: &Briefing) -> Page {
    let (drill, brief) = (briefing.drill, briefing.brief);
    let mut page = Page::default();
    page.push(drill.about.clone(), Role::Ink);
    if let Some(best) = briefing.best {
        page.push(format!("best so far: {best:.0} points"), Role::Quiet);
    }
    page.gap();
    page.extend(brief.start.lines(), Role::Ink);
    match &brief.air {
        Some(air) => page.extend(air.lines(), Role::Ink),
        None => page.push("still air", Role::Ink),
    }
    for (asked, task) in brief.tasks.iter().zip(&drill.tasks) {
        page.gap();
        let mut lines = asked.lines().into_iter();
        let first = lines.next().unwrap_or_default();
        let unscored = if task.scored { "" } else { "   (unscored)" };
        page.push(format!("{first}{unscored}"), Role::Strong);
        page.extend(lines, Role::Ink);
    }
    page
}

/// The power card, narrow enough to stand beside a text.
fn card(page: &mut Page, card: Option<Option<&PowerCard>>) {
    let card = match card {
        Some(Some(card)) => card,
        Some(None) => {
            page.push("power card: it cannot fly level here", Role::Ink);
            return;
        }
        None => {
            page.push("power card: computing", Role::Quiet);
            return;
        }
    };
    let level = format!(
        "power card: from level at {} ft on {:.1} %, still air",
        plain(card.altitude_ft.round()),
        100.0 * card.level_lever
    );
    page.push(level, Role::Strong);
    page.extend(CARD_HEAD.map(String::from), Role::Quiet);
    let rows = card.corrections.iter();
    page.extend(rows.clone().map(card_row), Role::Ink);
    page.gap();
    page.push(
        "Move the power, go back to level power, touch it once more as the swing comes to a stop of itself, \
         then set the power that holds.",
        Role::Quiet,
    );
    let found = || rows.clone().filter_map(|row| row.correction);
    if found().next().is_some() {
        let ft = found().map(|c| c.stays_within_ft).fold(0.0, f64::max);
        let fpm = found().map(|c| c.stays_within_fpm).fold(0.0, f64::max);
        page.push(
            format!(
                "Each row was flown: in the {WATCHED_S:.0} s after its last move it stays within {ft:.1} ft and {fpm:.0} ft/min."
            ),
            Role::Quiet,
        );
    }
}

const CARD_HEAD: [&str; 2] = [
    " want  move   for  level  touch   for   then  gives   in",
    "   ft     %     s      s      %     s      %     ft    s",
];

fn card_row(row: &CardRow) -> String {
    let Some(c) = &row.correction else {
        return format!(
            "{:+5.0}  no simple moves of this lever do it",
            row.wanted_ft
        );
    };
    let touch = match c.touch_percent {
        0.0 => format!("{:>7}{:>6}", "none", "-"),
        percent => format!("{percent:+7.0}{:6.1}", c.touch_s),
    };
    format!(
        "{:+5.0}{:+6.0}{:6.1}{:7.1}{touch}{:7.1}{:+7.0}{:5.0}",
        row.wanted_ft,
        c.move_percent,
        c.move_s,
        c.wait_s,
        100.0 * c.then_lever,
        c.gives_ft,
        c.total_s,
    )
}

/// Draws the short text that stands beside the menu: nothing in it takes time.
pub fn text(drill: &Drill, best: Option<f64>, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    Paragraph::new(lines(drill, best, theme))
        .wrap(Wrap { trim: false })
        .render(area, buffer);
}

fn lines(drill: &Drill, best: Option<f64>, theme: &Theme) -> Vec<Line<'static>> {
    let (ink, quiet) = (theme.style(Role::Ink), theme.style(Role::Quiet));
    let trim = drill.start_trim();
    let mut lines = vec![
        Line::styled(drill.about.clone(), ink),
        Line::default(),
        Line::styled(
            format!(
                "{}, {:.0} kg, on speed at {:.0} kt; {}",
                drill.aircraft.name,
                drill.aircraft.mass_kg,
                trim.speed_mps / KT,
                air_words::in_words(&drill.air)
            ),
            ink,
        ),
        Line::default(),
    ];
    for (index, task) in drill.tasks.iter().enumerate() {
        let scored = if task.scored { "" } else { "   (unscored)" };
        let asked = words::task(&task.kind, words::from_m(drill, index));
        lines.push(Line::styled(format!("{}  {asked}{scored}", index + 1), ink));
    }
    lines.push(Line::default());
    if let Some(best) = best {
        lines.push(Line::styled(
            format!("best so far: {best:.0} points"),
            quiet,
        ));
    }
    lines
}
