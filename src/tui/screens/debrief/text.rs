//! The text beside the picture: the lines of the bill first, then what happened, notes, and the arithmetic.

use super::{Debrief, Kept, SAID_ROWS, figures, words};
use crate::export::progress_words::count;
use crate::score::story;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::page::Page;
use crate::units::TICK_S;
use crate::why::par;

/// What comes first, in `rows` rows at a width: the first sentence, the lines of the bill and what can be done next. Where there
/// is no room for all lines, those shown include the chosen one.
pub(super) fn top(debrief: &Debrief, rows: u16, width: u16, theme: &Theme) -> Page {
    let mut page = not_kept(debrief);
    page.push(format!(" {}", debrief.said()), Role::Strong);
    let above = page.rows(width).min(SAID_ROWS);
    let all = bill_lines(debrief, true, theme);
    let mut earned = Page::default();
    accounts(debrief, true, &mut earned);
    // Rows below the lines: what was earned, what can be done next, where the run was kept, and perhaps a count of more lines.
    let below = earned.rows(width) + 2;
    let mut room = usize::from(rows.saturating_sub(above + below)).max(1);
    if all.len() > room {
        room = room.max(2) - 1;
    }
    let line = debrief.line.unwrap_or(0);
    let first = (line + 1).saturating_sub(room);
    let hidden = all.len().saturating_sub(room);
    page.add(all.into_iter().skip(first).take(room));
    if hidden > 0 {
        let more = format!("    tab: {}", count(hidden, "more line"));
        page.push(more, Role::Quiet);
    }
    accounts(debrief, true, &mut page);
    next(debrief, false, &mut page);
    page.inset(1, &debrief.told.guesses, Role::Ink);
    page
}

/// Everything else.
pub(super) fn rest(debrief: &Debrief, theme: &Theme) -> Page {
    let mut page = Page::default();
    tell_rest(debrief, theme, &mut page);
    page
}

/// All of the text except the first sentence on one page, and the index of the chosen line of the bill among its lines.
pub(super) fn page(debrief: &Debrief, theme: &Theme) -> (Page, usize) {
    let mut page = not_kept(debrief);
    let above = usize::from(matches!(debrief.told.kept, Kept::Not(_)));
    page.add(bill_lines(debrief, false, theme));
    accounts(debrief, false, &mut page);
    next(debrief, true, &mut page);
    page.gap();
    tell_rest(debrief, theme, &mut page);
    (page, above + debrief.line.unwrap_or(0))
}

/// A page that begins with why the run was not kept, if it was not; otherwise an empty one.
fn not_kept(debrief: &Debrief) -> Page {
    let mut page = Page::default();
    if let Kept::Not(why) = &debrief.told.kept {
        page.push(format!(" not kept: {why}"), Role::Warning);
    }
    page
}

fn tell_rest(debrief: &Debrief, theme: &Theme, page: &mut Page) {
    let told = &debrief.told;
    let (score, rivals) = (&told.weighed.score, debrief.rivals.as_ref());
    let said = debrief.said();
    let sentence = debrief.line().map(|line| &line.sentence);
    if let Some(sentence) = sentence.filter(|sentence| !said.ends_with(*sentence)) {
        page.push(format!(" {sentence}"), Role::Strong);
        page.gap();
    }
    let (_, of_track) = of_track(debrief);
    page.inset(1, of_track, Role::Ink);
    page.inset(1, &told.beside_last, Role::Ink);
    if debrief.leg.is_some() {
        figures::lines(told, rivals, debrief.leg, page);
        page.gap();
    }
    let story = story::tell(&told.run, score).into_iter();
    page.inset(1, story.filter(|sentence| *sentence != said), Role::Ink);
    page.inset(1, &told.guesses, Role::Ink);
    if told.pars.is_none() && par::is_needed(&told.run) {
        page.push(
            " Scored without par: you did not wait for it.",
            Role::Warning,
        );
    }
    page.block(told.marks_and_notes(theme.mark(Mark::NOTE)));
    let stalls = told.recording.stalls_s.len();
    if stalls > 0 {
        let text = format!(" times the clock stood still: {stalls}; that time was not flown");
        page.push(text, Role::Warning);
    }
    if told.run.known().lever {
        page.block(told.hand(rivals));
    }
    if debrief.leg.is_none() {
        figures::lines(told, rivals, None, page);
    }
}

/// The lines of the bill in short, the chosen one marked. With `has_room`, each also says until when its points could still be
/// saved, which the picture shows of the chosen one alone.
fn bill_lines(debrief: &Debrief, has_room: bool, theme: &Theme) -> Vec<(String, Role)> {
    let run = &debrief.told.run;
    let told = debrief.told.weighed.told();
    let lines = told.iter().enumerate().map(|(index, line)| {
        let (mark, role) = theme.row(debrief.line == Some(index));
        let n = index + 1;
        let task = run.leg_number(line.leg);
        let what = if has_room { "task " } else { "" };
        let mut row = format!("{mark}{n:<3}{what}{task:<4}{}", line.in_short());
        if let Some(tick) = line.until.filter(|_| has_room) {
            let until = words::clock(tick as f64 * TICK_S);
            row = format!("{row:<67}until {until}");
        }
        (row, role)
    });
    lines.collect()
}

/// Adds what was earned in each task, of what was in reach.
fn accounts(debrief: &Debrief, has_room: bool, page: &mut Page) {
    let bills = debrief.told.weighed.bills.iter();
    let accounts = bills.map(|bill| {
        let n = debrief.told.run.leg_number(bill.leg);
        let (in_reach, earned) = (bill.in_reach, bill.points);
        format!("task {n}: {earned:.0} of {in_reach:.0}")
    });
    let mut accounts: Vec<String> = accounts.collect();
    if let Some(first) = accounts.first_mut() {
        *first = format!("earned: {first} in reach");
    }
    match has_room {
        true if accounts.is_empty() => {}
        true => page.push(format!("    {}", accounts.join("; ")), Role::Quiet),
        false => page.inset(4, &accounts, Role::Quiet),
    }
}

/// Adds what can be done next, except what the foot has room for, and where the run was kept.
fn next(debrief: &Debrief, is_wide: bool, page: &mut Page) {
    let line = debrief.line.map(|line| line + 1);
    let practise = line.map(|line| format!("x practises line {line}"));
    let again = match debrief.is_from_elsewhere() {
        true => "here",
        false => "again",
    };
    let others = (!is_wide).then(|| format!("enter flies it {again}   n the next drill"));
    let keys: Vec<String> = practise.into_iter().chain(others).collect();
    if !keys.is_empty() {
        page.push(format!(" next: {}", keys.join("   ")), Role::Ink);
    }
    if let Kept::As(id) = &debrief.told.kept {
        page.push(format!(" kept as {id}"), Role::Quiet);
    }
    let (first, _) = of_track(debrief);
    page.inset(1, first, Role::Quiet);
}

/// The sentences about the file that the run was read from, in two parts: those that come first (without a bill, also what is
/// missing from a track), and the rest.
fn of_track(debrief: &Debrief) -> (&[String], &[String]) {
    let told = debrief.told.told_of_file();
    let first = if debrief.line.is_some() { 1 } else { 2 };
    told.split_at(first.min(told.len()))
}
