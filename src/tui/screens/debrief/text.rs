//! The sentences beside the picture: findings first, then what happened, notes, and the arithmetic.

use super::{Debrief, FINDINGS, figures, words};
use crate::export::rivals::Rivals;
use crate::logbook::{About, Note};
use crate::run::Run;
use crate::score::story;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::page::Page;
use crate::tui::widgets::stretch::leg_number;
use crate::units::TICK_S;
use crate::why::{HandFigures, par};

/// Everything there is to say, and which of its lines is the chosen finding.
pub(super) fn page(debrief: &Debrief, theme: &Theme) -> (Page, usize) {
    let told = &debrief.told;
    let (score, rivals) = (&told.weighed.score, debrief.rivals.as_ref());
    let mut page = Page::default();
    if let Err(why) = &told.saved {
        page.push(format!(" not kept: {why}"), Role::Warning);
    }
    let above = usize::from(told.saved.is_err());
    findings(debrief, theme, &mut page);
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
    none_found(debrief, &mut page);
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
    (page, above + debrief.finding.unwrap_or(0))
}

/// The largest first, each with its task's number, the chosen one marked.
fn findings(debrief: &Debrief, theme: &Theme, page: &mut Page) {
    let told = &debrief.told;
    for (index, finding) in told.weighed.findings.iter().take(FINDINGS).enumerate() {
        let n = leg_number(&told.run, finding.leg);
        let (mark, role) = match debrief.finding == Some(index) {
            true => (Mark::Chosen, Role::Strong),
            false => (Mark::Dot, Role::Ink),
        };
        let mark = theme.mark(mark);
        page.push(format!(" {mark} {n}  {}", finding.sentence()), role);
    }
    if !told.weighed.findings.is_empty() {
        page.gap();
    }
}

/// Why there is no finding.
fn none_found(debrief: &Debrief, page: &mut Page) {
    let told = &debrief.told;
    if !told.weighed.findings.is_empty() {
        return;
    }
    match &told.pars {
        Some(_) => page.push(
            " None of the changes that were flown would have made it much better.",
            Role::Ink,
        ),
        None if par::is_needed(&told.run) => {
            page.push(" Scored without par: it was not waited for.", Role::Warning)
        }
        None => {}
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
    format!("in task {}, {name}", leg_number(run, leg))
}

/// A note and its writer, without what a terminal would take for a command.
fn said(note: &Note) -> String {
    let by = note.by.as_deref().unwrap_or("a note");
    let all = format!("{by}: {}", note.text);
    all.chars().filter(|c| !c.is_control()).collect()
}
