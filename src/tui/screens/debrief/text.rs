//! The text beside the picture: the lines of the bill first, then what happened, notes, and the arithmetic.

use super::{Debrief, figures, words};
use crate::drill::printable::is_plain;
use crate::export::rivals::Rivals;
use crate::logbook::{About, Note};
use crate::run::Run;
use crate::score::HandFigures;
use crate::score::story;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::page::Page;
use crate::units::TICK_S;
use crate::why::par;

/// Everything there is to say, and which of its rows is the chosen line of the bill; with `has_room`
/// until when each could still be saved, which the picture tells of the chosen one alone.
pub(super) fn page(debrief: &Debrief, has_room: bool, theme: &Theme) -> (Page, usize) {
    let told = &debrief.told;
    let (score, rivals) = (&told.weighed.score, debrief.rivals.as_ref());
    let mut page = Page::default();
    if let Err(why) = &told.saved {
        page.push(format!(" not kept: {why}"), Role::Warning);
    }
    page.extend(told.lately.iter().map(|said| format!(" {said}")), Role::Ink);
    let above = usize::from(told.saved.is_err()) + usize::from(told.lately.is_some());
    bill(debrief, has_room, theme, &mut page);
    if debrief.leg.is_some() {
        figures::lines(&told.run, score, rivals, debrief.leg, &mut page);
        page.gap();
    }
    page.extend(
        story::tell(&told.run, &told.weighed.score)
            .into_iter()
            .map(|sentence| format!(" {sentence}")),
        Role::Ink,
    );
    page.extend(
        told.guesses.iter().map(|guess| format!(" {guess}")),
        Role::Ink,
    );
    without_par(debrief, &mut page);
    notes(debrief, theme, &mut page);
    if let Ok(id) = &told.saved {
        page.push(format!(" kept as {id}"), Role::Quiet);
    }
    if told.stalls > 0 {
        let text = format!(
            " the clock stood still {} times; that time was not flown",
            told.stalls
        );
        page.push(text, Role::Warning);
    }
    hand(debrief, rivals, &mut page);
    if debrief.leg.is_none() {
        figures::lines(&told.run, score, rivals, None, &mut page);
    }
    (page, above + debrief.line.unwrap_or(0))
}

/// The lines of the bill, the dearest first, the chosen one marked; what was in reach and earned; what is to be said of it.
fn bill(debrief: &Debrief, has_room: bool, theme: &Theme, page: &mut Page) {
    let weighed = &debrief.told.weighed;
    let run = &debrief.told.run;
    let told = weighed.told();
    for (index, line) in told.iter().enumerate() {
        let (mark, role) = match debrief.line == Some(index) {
            true => (theme.mark(Mark::Chosen), Role::Strong),
            false => (" ", Role::Ink),
        };
        let n = index + 1;
        let task = run.leg_number(line.leg);
        let mut row = format!("{mark}{n:<3}{task:<4}{}", line.in_short());
        if let Some(tick) = line.until.filter(|_| has_room) {
            let until = words::clock(tick as f64 * TICK_S);
            row = format!("{row:<60}until {until}");
        }
        page.push(row, role);
    }
    let accounts: Vec<String> = weighed
        .bills
        .iter()
        .map(|bill| {
            format!(
                "task {}: {:.0} in reach, {:.0} earned",
                run.leg_number(bill.leg),
                bill.in_reach,
                bill.points
            )
        })
        .collect();
    if !accounts.is_empty() {
        page.push(format!("    {}", accounts.join("; ")), Role::Quiet);
    }
    if let Some(line) = debrief
        .line()
        .filter(|line| !weighed.first.ends_with(&line.sentence))
    {
        page.push(format!(" {}", line.sentence), Role::Strong);
    }
    page.gap();
}

/// That it was scored without par, where it was.
fn without_par(debrief: &Debrief, page: &mut Page) {
    let told = &debrief.told;
    if told.pars.is_none() && par::is_needed(&told.run) {
        page.push(" Scored without par: it was not waited for.", Role::Warning);
    }
}

/// The marks left in flight, each with what a coach said of it, then what was said of tasks and of the whole.
fn notes(debrief: &Debrief, theme: &Theme, page: &mut Page) {
    let told = &debrief.told;
    if told.marks.is_empty() && told.notes.is_empty() {
        return;
    }
    page.gap();
    for (index, tick) in told.marks.iter().enumerate() {
        let mark = format!(" {}{}", theme.mark(Mark::Note), index + 1);
        let at = words::clock(*tick as f64 * TICK_S);
        page.push(
            format!("{mark} {at}, {}", place(&told.run, *tick)),
            Role::Ink,
        );
        let of_mark = told
            .notes
            .iter()
            .filter(|note| note.about == About::Mark(index + 1));
        page.extend(of_mark.map(|note| format!("    {}", said(note))), Role::Ink);
    }
    for note in &told.notes {
        let about = match note.about {
            About::Mark(mark) if (1..=told.marks.len()).contains(&mark) => continue,
            About::Mark(_) | About::Run => String::new(),
            About::Task(task) => format!("on task {task}, "),
        };
        page.push(format!(" {about}{}", said(note)), Role::Ink);
    }
}

/// How the lever was moved, beside how par's was.
fn hand(debrief: &Debrief, rivals: Option<&Rivals>, page: &mut Page) {
    let own = HandFigures::of(&debrief.told.run);
    page.gap();
    page.push(
        format!(" {:<22}{:>10}{:>10}", "the hand", "yours", "par"),
        Role::Quiet,
    );
    for (label, yours, par) in own.beside(rivals.map(|rivals| &rivals.hand)) {
        page.push(format!("   {label:<20}{yours:>10}{par:>10}"), Role::Ink);
    }
}

/// The task in which a tick lies.
fn place(run: &Run, tick: u64) -> String {
    let begun = run
        .legs()
        .iter()
        .take_while(|leg| leg.start <= tick)
        .count();
    let leg = begun.saturating_sub(1);
    let name = words::task_name(&run.legs()[leg].kind);
    format!("in task {}, {name}", run.leg_number(leg))
}

/// A note and its writer, without what a terminal would take for a command.
fn said(note: &Note) -> String {
    let by = note.by.as_deref().unwrap_or("a note");
    let all = format!("{by}: {}", note.text);
    all.chars().filter(|c| is_plain(*c)).collect()
}
