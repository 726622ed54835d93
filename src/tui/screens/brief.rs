//! The brief before flying: what is asked, and the numbers to go in with.

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::brief::drill::TaskBrief;
use crate::brief::power_card::WATCHED_S;
use crate::drill::printable::cut;
use crate::drill::reader::plain;
use crate::drill::{Aids, Drill, air_words};
use crate::plan::recipe;
use crate::score::points::CALLED_POINTS;
use crate::tui::canvas::Canvas;
use crate::tui::echo::EchoChoice;
use crate::tui::prepared::Sheet;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::asked;
use crate::tui::widgets::page::{self, Page};
use crate::units::KT;

/// From this width on the numbers stand beside what to do.
const WIDE: u16 = 136;
/// Columns of what to do in that case.
const RECIPES: u16 = 78;

/// What the screen shows.
pub struct Briefing<'a> {
    pub drill: &'a Drill,
    /// The best points on it so far.
    pub best: Option<f64>,
    /// How much the screen will help.
    pub aids: Aids,
    /// The run to draw beside the person's own.
    pub echo: EchoChoice,
    /// What to do and the numbers behind it, or why there is nothing to show; None while it is being worked out.
    pub sheet: Option<Result<&'a Sheet, &'a str>>,
    /// Whether the person has asked for the numbers behind it.
    pub more: bool,
}

/// Draws the brief as a screen of its own, from row `scroll` of its text on.
pub fn draw(briefing: &Briefing, scroll: &mut u16, area: Rect, canvas: &mut Canvas) {
    let (echo, aids) = (briefing.echo.word(), briefing.aids.word());
    let aids = format!("echo {echo}   aids {aids} ");
    let aids = canvas.theme.line(aids, Role::Ink);
    let room = usize::from(area.width).saturating_sub(aids.width() + 2);
    let head = head(briefing, room, &canvas.theme);
    words::row(head, aids, area.y, area, canvas);
    let is_wide = area.width >= WIDE;
    let height = area.height - if is_wide { 3 } else { 4 };
    let inside = Rect::new(area.x + 1, area.y + 2, area.width - 2, height);
    let mut text = to_do(briefing);
    let more = match is_wide {
        true => draw_wide(briefing, text, scroll, inside, canvas),
        false => {
            if briefing.more {
                text.gap();
                let Numbers { beside, below } = Numbers::of(briefing, inside.width);
                text.extend(beside.into_iter().chain(below), Role::Ink);
                text.gap();
                card(briefing, inside.width, &mut text);
            }
            asked_below(briefing, text.rows(inside.width), inside, canvas);
            text.draw(scroll, inside, canvas)
        }
    };
    let keys = match (is_wide, briefing.more) {
        (true, _) => " enter flies  w watch  g guess",
        (_, true) => " enter flies  w watch  g guess  m fewer numbers",
        (_, false) => " enter flies  w watch  g guess  m more numbers",
    };
    words::foot(keys, words::text_out(more), area, canvas);
}

/// The drill's title, then as much about its aeroplane and its air as there is room for.
fn head(briefing: &Briefing, room: usize, theme: &Theme) -> Line<'static> {
    let drill = briefing.drill;
    let name = format!(" {}", drill.title);
    let name = theme.span(cut(&name, room).to_string(), Role::Strong);
    let mut line = Line::from(name);
    let parts = [
        drill.aircraft.name.clone(),
        air_words::in_words(&drill.air),
        format!("on speed {:.0} kt", drill.start_trim().speed_mps / KT),
    ];
    words::add_parts(&mut line, parts, room, theme);
    line
}

/// What to do, task by task: the first thing to see.
fn to_do(briefing: &Briefing) -> Page {
    let drill = briefing.drill;
    let mut page = Page::default();
    page.push(&drill.about, Role::Ink);
    let best = briefing
        .best
        .map(|best| format!("; your best so far {best:.0}"));
    let is_called_off = |sheet: &Sheet| sheet.brief.tasks.iter().all(TaskBrief::is_called_off);
    let par = match briefing.sheet {
        Some(Ok(sheet)) if is_called_off(sheet) => {
            format!("going around as called is worth {CALLED_POINTS} points")
        }
        _ => "par is 75 points".to_string(),
    };
    page.push(par + &best.unwrap_or_default(), Role::Quiet);
    page.gap();
    let sheet = match briefing.sheet {
        Some(Ok(sheet)) => sheet,
        Some(Err(why)) => {
            page.push(format!("cannot say what to do: {why}"), Role::Warning);
            return page;
        }
        None => {
            page.push("what to do is being worked out", Role::Quiet);
            return page;
        }
    };
    for (asked, task) in sheet.brief.tasks.iter().zip(&drill.tasks) {
        let mut lines = asked.recipe_lines();
        if !task.scored
            && let Some(last) = lines.last_mut()
        {
            *last += "   (unscored)";
        }
        page.extend(lines, Role::Strong);
    }
    page.gap();
    let advice = match drill.air.u20_mps > 0.0 || drill.air.wake.is_some() {
        true => "This is for the air without its gusts. Correct what lasts, not every gust.",
        false => "Each % is where the lever goes. Half a second or five feet off is near enough.",
    };
    page.push(advice, Role::Quiet);
    page
}

/// Draws what to do at the left and the numbers beside it. Tables of a path that are too wide for that stand below both, and the
/// power card below the shorter of the two. Returns whether more lies below.
fn draw_wide(
    briefing: &Briefing,
    mut left: Page,
    scroll: &mut u16,
    area: Rect,
    canvas: &mut Canvas,
) -> bool {
    let side = area.width - RECIPES - 2;
    let Numbers { beside, below } = Numbers::of(briefing, side);
    let (mut right, mut wide) = (Page::default(), Page::default());
    right.extend(beside, Role::Ink);
    wide.extend(below, Role::Ink);
    let (under, width) = match left.rows(RECIPES) < right.rows(side) {
        true => (&mut left, RECIPES),
        false => (&mut right, side),
    };
    under.gap();
    card(briefing, width, under);
    let above = left.rows(RECIPES).max(right.rows(side));
    let rows = above + wide.rows(area.width);
    asked_below(briefing, rows, area, canvas);
    page::long(rows, scroll, area, canvas, |canvas| {
        left.draw(&mut 0, Rect::new(0, 0, RECIPES, above), canvas);
        right.draw(&mut 0, Rect::new(RECIPES + 2, 0, side, above), canvas);
        let place = Rect::new(0, above, area.width, rows - above);
        wide.draw(&mut 0, place, canvas);
    })
}

/// Draws the picture of what is asked where a text of `rows` rows leaves room for it.
fn asked_below(briefing: &Briefing, rows: u16, area: Rect, canvas: &mut Canvas) {
    let height = area.height.saturating_sub(rows + 1).min(asked::ROWS.1);
    let y = area.y + rows + 1;
    if let Some(Ok(_)) = briefing.sheet {
        asked::draw(briefing.drill, Rect { y, height, ..area }, canvas);
    }
}

/// The numbers behind what to do, split for a column of a given width.
#[derive(Default)]
struct Numbers {
    beside: Vec<String>,
    /// Tables that are wider than the column, and what follows them.
    below: Vec<String>,
}

impl Numbers {
    fn of(briefing: &Briefing, width: u16) -> Numbers {
        let Some(Ok(Sheet { brief, .. })) = briefing.sheet else {
            return Numbers::default();
        };
        let mut beside = brief.number_lines();
        let is_path = brief.tasks.iter().any(|task| task.path.is_some());
        // The columns of a table stand at least three apart; any other line may be broken.
        let is_table = |line: &String| line.trim().contains("   ") && line.len() > width.into();
        let from = beside.iter().position(|line| is_path && is_table(line));
        let below = match from {
            Some(at) => {
                let heading = beside[..at].iter().rposition(|line| line.trim().is_empty());
                beside.split_off(heading.unwrap_or(at))
            }
            None => Vec::new(),
        };
        Numbers { beside, below }
    }
}

/// Adds the power card to a page, for a column of a given width.
fn card(briefing: &Briefing, width: u16, page: &mut Page) {
    let Some(Ok(sheet)) = briefing.sheet else {
        return;
    };
    let Some(card) = &sheet.card else {
        return page.push(
            "power card: this aeroplane cannot fly level here",
            Role::Ink,
        );
    };
    let (ft, lever) = (
        plain(card.altitude_ft.round()),
        recipe::set(card.level_lever),
    );
    let level = format!("power card: from level at {ft} ft on {lever}, still air");
    page.push(level, Role::Strong);
    let rows = card.corrections.iter();
    page.extend(rows.flat_map(|row| row.lines(width.into())), Role::Ink);
    let strays = format!("+- is the most it strays in the {WATCHED_S:.0} s after its last move.");
    page.push(format!("Each row was flown; {strays}"), Role::Quiet);
}
