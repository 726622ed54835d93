//! The bill in words: what was done, when, what it cost, and what to do next time with the lever and at which cue.

mod better;

use super::bill::kind::{ALL, AROUND, FIRST, FLOOR, INSTEAD, RATHER, SMALL, THEN, UNTIL};
use super::bill::{self, Bill, Line, LineKind};
use super::explain::cures::Cure;
use super::explain::{IDLE, SEVERAL};
use crate::drill::reader::{clock, plain};
use crate::drill::{self, Target};
use crate::plan::Recipe;
use crate::plan::recipe::{percent, set};
use crate::plan::three_degree_lever;
use crate::run::moves::{Lever, LeverMove};
use crate::run::{self, Run};
use crate::score::series::{median, turns};
use crate::score::{PAR_POINTS, Score, story};
use crate::sim::world::Fault;
use crate::units::{FPM, KT, NM, TICK_S, TICKS_PER_S};

/// Moves smaller than this are not mentioned, over the lever of 3 degrees.
const TOLD: f64 = 0.08;
/// This many moves are more than a stop and its return.
const HASTY: usize = 3;
/// A move within this time counts as made at once, ticks.
const AT_ONCE: u64 = 2 * TICKS_PER_S;
/// So many turns of at least this size over the lever of 3 degrees are corrections, whatever they came to: power off, on, off
/// and on again. Smaller ones are a hand that does not rest.
const CHASES: (usize, f64) = (3, 0.5);
/// A person cannot time less than half a second, ticks.
const NO_WAIT: u64 = TICKS_PER_S / 2;
/// A lever that has stood this long was left there, ticks: a pilot looks every second or two.
const LEFT: u64 = 3 * TICKS_PER_S;
/// An aeroplane at rest on its number climbs or sinks less than this, ft/min.
const RESTS_FPM: f64 = 300.0;
/// A vertical speed is given in tens.
const TENS: f64 = 10.0;
const BEFORE: &str =
    "It began at {began} ft/min: next time end the task before it at rest on its number.";

/// The first line of a debrief: what cost most, or what was good where nothing cost much.
pub fn first(run: &Run, score: &Score, bills: &[Bill]) -> String {
    let lines = bill::told(bills, bill::ended_in(run));
    // Points are shown whole: 74.9 reads as par.
    let told = match (score.points.map(f64::round), lines.first()) {
        (Some(points), Some(line)) if points < PAR_POINTS => line.sentence.clone(),
        (Some(points), _) if points >= PAR_POINTS => story::praise(run, score),
        _ if !score.complete && run.fault().is_none() => String::new(),
        _ => bills
            .iter()
            .min_by(|a, b| a.points.total_cmp(&b.points))
            .map_or_else(String::new, |bill| out_of_reach(run, bill)),
    };
    match ended(run, lines.first().copied()) {
        Some(ended) => format!("{ended} {told}").trim_end().to_string(),
        None => told,
    }
}

/// How a fault ended a run. If the lever had been left for a while and the first line does not say so, the sentence adds its
/// setting. None without a fault, or where the model broke down.
fn ended(run: &Run, told: Option<&Line>) -> Option<String> {
    use LineKind::{LeftAtFull, LeftAtIdle, NeverMoved};
    let what = match run.fault()? {
        Fault::Surface => "You flew into the surface",
        Fault::Stalled => "The aeroplane stalled",
        Fault::Model => return None,
    };
    let is_said = told.is_some_and(|line| {
        Some(line.leg) == bill::ended_in(run)
            && matches!(line.kind, LeftAtFull | LeftAtIdle | NeverMoved)
    });
    let at = |tick: u64| clock(tick as f64 * TICK_S);
    let since = run.log().last().map_or(0, |(tick, _)| *tick);
    let left = match !is_said && run.tick() - since >= LEFT {
        true => format!(
            ", the lever at {} since {}",
            position(run.lever()),
            at(since)
        ),
        false => String::new(),
    };
    Some(format!("{what} at {}{left}.", at(run.tick())))
}

/// The words for a lever setting.
fn position(lever: f64) -> String {
    match lever {
        0.0 => "idle".to_string(),
        lever => percent(lever),
    }
}

/// A line in one or two plain sentences. `cure` puts right what the line names; `flight` is the better flight where there is no
/// cure.
pub(super) fn sentence(
    run: &Run,
    line: &Line,
    cure: Option<&Cure>,
    flight: Option<&Run>,
) -> String {
    let flight = cure.map(|cure| &cure.run).or(flight);
    let leg = &run.legs()[line.leg];
    let h_m = run.trace().at(leg.start as usize).state.h_m;
    let better = line.better.as_ref();
    let three = three_degree_lever(&run.drill().aircraft, h_m, -1.0);
    let said = Said {
        run,
        line,
        better: better.and_then(|known| Some((flight?, known.from))),
        leg,
        lever: Lever::of(run, line.leg),
        least: TOLD * three,
        three,
        recipe: cure.and_then(|cure| cure.recipe.as_ref()),
    };
    let (task, of) = match run.is_of_one_task() {
        true => (String::new(), ""),
        false => (format!(" (task {})", run.leg_number(line.leg)), "of its "),
    };
    let points = format!("{:.0} {of}points", line.points);
    let what = said.filled(&line.kind.said(line.amount));
    // The advice is given only where the better flight ends as the task asks.
    let from_start = || better.is_some_and(|it| it.from <= leg.start + AT_ONCE);
    let next = match line.kind.next_time() {
        // A bad beginning is put right before the task begins.
        ALL | FIRST | UNTIL | RATHER | INSTEAD if from_start() && said.begins_moving() => BEFORE,
        FIRST | UNTIL | RATHER | INSTEAD if from_start() => ALL,
        SMALL if !said.is_hasty() && from_start() => ALL,
        SMALL if !said.is_hasty() => UNTIL,
        // Where the learner was no lower than the better flight, the advice is what that flight does at this point.
        // So it is in a climb, where a higher lever is no help.
        FLOOR if !said.was_below() || said.climbs() => UNTIL,
        INSTEAD if said.is_kept_instead() => ALL,
        INSTEAD if cure.is_none() => UNTIL,
        RATHER if said.went_on() => THEN,
        RATHER if said.first_helps() => UNTIL,
        next => next,
    };
    let next = said.filled(next);
    let next = next.filter(|_| better.is_some_and(|better| better.ends_well));
    let next = next.or_else(|| said.missed_a_call().then(|| AROUND.to_string()));
    let [what, next] = [what, next].map(Option::unwrap_or_default);
    format!("{what}{task}: {points}. {next}")
        .trim_end()
        .to_string()
}

/// The sentence where there is no line to report although little was earned.
fn out_of_reach(run: &Run, bill: &Bill) -> String {
    let task = match run.is_of_one_task() {
        true => "The task".to_string(),
        false => format!("Task {}", run.leg_number(bill.leg)),
    };
    if run.legs()[bill.leg].approach.has_obeyed() {
        let [points, in_reach] = [bill.points, bill.in_reach].map(|points| format!("{points:.0}"));
        return match story::late_answer_s(run, &run.legs()[bill.leg]) {
            Some(late_s) => format!(
                "You went around, but full power came {late_s:.0} s after the call: {points} of the {in_reach} points that were in \
                 reach. Next time give full power as soon as it is called."
            ),
            None => format!(
                "You went around when it was called: {points} of the {in_reach} points that were in reach."
            ),
        };
    }
    if bill.in_reach > 0.0 {
        return format!(
            "{task} earned {:.0} of the {:.0} points that were in reach when it began; no single thing cost much.",
            bill.points, bill.in_reach
        );
    }
    let leg = &run.legs()[bill.leg];
    let state = &run.trace().at(leg.start as usize).state;
    let off = leg.target.error(state, leg.start);
    let is_at_once = matches!(leg.kind, drill::Kind::Step(_) | drill::Kind::Rate(_));
    if is_at_once && off.abs() <= leg.target.band(state, leg.start) {
        return format!(
            "{task} began inside its own band, so it asked for nothing: no points were in reach."
        );
    }
    let (per, unit) = (leg.target.unit(), leg.target.unit_name());
    let place = match (off / per).round() + 0.0 {
        0.0 => "on".to_string(),
        off if off > 0.0 => format!("{} {unit} above", plain(off)),
        off => format!("{} {unit} below", plain(-off)),
    };
    // A rate leaves nothing at rest.
    let before = bill
        .leg
        .checked_sub(1)
        .map(|before| &run.legs()[before].kind);
    let before = match before {
        None | Some(drill::Kind::Rate(_)) => "",
        Some(_) => " Next time end the task before it at rest on its number.",
    };
    format!(
        "{task} began {place} what it asks, at {} ft/min with the lever at {}: from there no points were in reach.{before}",
        plain((state.vz_mps / FPM).round() + 0.0),
        percent(Lever::of(run, bill.leg).before)
    )
}

/// The time from one tick to another: "from 0:12 to 0:20", "at 0:12".
fn span(from: u64, to: u64) -> String {
    let [from, to] = [from, to].map(|tick| clock(tick as f64 * TICK_S));
    match from == to {
        true => format!("at {from}"),
        false => format!("from {from} to {to}"),
    }
}

/// The lever of a flight over a range of ticks, up to the flight's end.
fn levers_of(run: &Run, ticks: std::ops::Range<u64>) -> Vec<f64> {
    let last = run.trace().ticks() as u64;
    let ticks = ticks.start.min(last)..ticks.end.min(last);
    ticks.map(|t| run.trace().lever_at(t as usize)).collect()
}

/// A line and what its sentence needs.
struct Said<'a> {
    run: &'a Run,
    line: &'a Line,
    better: Option<(&'a Run, u64)>,
    leg: &'a run::Leg,
    lever: Lever,
    least: f64,
    three: f64,
    recipe: Option<&'a Recipe>,
}

impl Said<'_> {
    /// A text with its braces filled in; None where there is nothing to fill one with.
    fn filled(&self, text: &str) -> Option<String> {
        let mut rest = text;
        let mut filled = String::new();
        while let Some((before, after)) = rest.split_once('{') {
            let (word, after) = after.split_once('}')?;
            filled += before;
            filled += &self.word(word)?;
            rest = after;
        }
        Some(filled + rest)
    }

    /// The text for a word in braces.
    fn word(&self, word: &str) -> Option<String> {
        let line = self.line;
        let at = |tick: u64| clock(tick as f64 * TICK_S);
        let adds = || Some(self.own(0)?.by() > 0.0);
        let pick = |is: bool, yes: &str, no: &str| if is { yes } else { no }.to_string();
        Some(match word {
            // When it began and ended, and until when it could be saved.
            "b" => at(line.to),
            "when" => self.when(),
            "span" => span(line.when.start, line.when.end),
            "since" => at(line.when.start),
            "until" => at(line.until?),
            "called" => at(self.leg.approach.called?.0),
            // Where the learner did it, and how far the first move went.
            "did" => self.did_at(),
            "to" => position(self.first().map_or(self.lever.at(line.to), |m| m.to)),
            "moved" => pick(adds()?, "added", "took off"),
            "needed" => pick(adds()?, "it had to come off", "more was needed"),
            "high" => {
                let (better, from) = self.better?;
                let right = better.trace().lever_at(from as usize);
                pick(self.lever.mean(self.while_so()) > right, "high", "low")
            }
            "uncorrected" => pick(
                self.chases(),
                "and no correction lasted",
                "without correcting it",
            ),
            "had" => {
                let mean = self.lever.mean(self.while_so());
                let is_idle = mean < IDLE && line.kind == LineKind::LeverLow;
                pick(is_idle, "the lever was at idle,", "you had")
            }
            "there" => {
                let (better, _) = self.better?;
                set(median(levers_of(better, self.while_so()))?)
            }
            "out" => self.outcome().to_string(),
            "unit" => self.leg.target.unit_name().to_string(),
            "side" => self.side().to_string(),
            // What the better flight does.
            "moves" => self.moves(true)?,
            "move" => self.moves(false)?,
            "instead" => {
                let (better, from) = self.better?;
                format!(
                    "hold about {} {}",
                    set(self.kept()?),
                    self.place(better, from)
                )
            }
            "back" => {
                let back = self.better_moves()?.into_iter().next()?;
                let own = self.lever.moves();
                let stop = own.iter().rev().find(|m| m.start < back.start)?;
                match back.start.saturating_sub(stop.end) {
                    after if after < NO_WAIT => format!("{} at once", set(back.to)),
                    after => format!("{} {:.1} s after it", set(back.to), after as f64 * TICK_S),
                }
            }
            "levelled" => {
                let moves = self.lever.moves().into_iter();
                let mut later = moves.filter(|m| m.start >= line.to && m.by().abs() >= self.least);
                let way = self.error(self.leg.start);
                let is_late = later.any(|m| m.by() * way > 0.0);
                pick(
                    is_late,
                    "began to level off far too late",
                    "never levelled off",
                )
            }
            // The right setting is the one at the tick from which the better flight differs.
            "right" => {
                let (better, from) = self.better?;
                set(better.trace().lever_at(from as usize))
            }
            "small" => percent(self.small()),
            "began" => plain(self.began_fpm().round()),
            "floor" => set(self.floor()?),
            _ => return None,
        })
    }

    /// Whether the lever went so far to and fro that someone corrected, only not for long.
    fn chases(&self) -> bool {
        let levers = levers_of(self.run, self.line.from..self.line.to);
        turns(&levers, CHASES.1 * self.three).len() >= CHASES.0
    }

    /// The median lever of the better flight over the time of several corrections.
    fn kept(&self) -> Option<f64> {
        let (better, from) = self.better?;
        median(levers_of(better, from..from + SEVERAL))
    }

    /// Whether the better flight has the lever at idle at first too: what was missing is its later move.
    fn is_kept_instead(&self) -> bool {
        self.line.kind == LineKind::LeftAtIdle && self.kept().is_some_and(|kept| kept < IDLE)
    }

    /// Whether the learner made several moves, larger than needed. A lever off by turns is not haste where the better flight
    /// itself makes a larger move.
    fn is_hasty(&self) -> bool {
        let (from, to) = (self.line.from.saturating_sub(SEVERAL), self.line.to);
        let made = |m: &&LeverMove| m.end >= from && m.start < to && m.by().abs() >= self.least;
        let count = self.lever.moves().iter().filter(made).count();
        let most = self.line.amount / 100.0;
        let is_by_turns = self.line.kind == LineKind::LeverByTurns;
        let theirs = self.better_moves().unwrap_or_default();
        let is_due = is_by_turns && theirs.iter().any(|m| m.by().abs() > most);
        count >= HASTY && self.small() <= most && !is_due
    }

    /// The tick since which the lever has stood where it is at `tick`.
    fn missed_a_call(&self) -> bool {
        self.leg.approach.called.is_some() && !self.leg.approach.has_obeyed()
    }

    fn began_fpm(&self) -> f64 {
        self.run.trace().at(self.leg.start as usize).state.vz_mps / FPM
    }

    /// Whether the task follows one other than a rate and was begun while climbing or sinking.
    fn begins_moving(&self) -> bool {
        let before = self
            .line
            .leg
            .checked_sub(1)
            .map(|leg| &self.run.legs()[leg].kind);
        let rests = |kind| !matches!(kind, &drill::Kind::Rate(_));
        before.is_some_and(rests) && self.began_fpm().abs() > RESTS_FPM
    }

    /// When it was, in words. Where points are lost in a moment, the cause lasted longer: corrections that were too large as
    /// long as a few of them take, an error as long as it stood on that side.
    fn when(&self) -> String {
        let (start, from, to) = (self.leg.start, self.line.when.start, self.line.when.end);
        let earlier = from.min(to.saturating_sub(SEVERAL));
        let from = match self.line.kind {
            LineKind::Overcontrol | LineKind::Pumping => {
                let moves = self.lever.moves();
                let first = moves.iter().find(|m| m.end >= earlier);
                first.map_or(earlier, |m| earlier.max(m.start)).min(from)
            }
            LineKind::NotCorrected => {
                let side = |tick: u64| self.error(tick) > 0.0;
                let stood = (start..from).rev().take_while(|t| side(*t) == side(to));
                earlier.max(stood.last().unwrap_or(from))
            }
            _ => from,
        };
        let span = span(from.max(start), to);
        format!("{}{}", span[..1].to_uppercase(), &span[1..])
    }

    /// The ticks during which the sentence holds, at least one.
    fn while_so(&self) -> std::ops::Range<u64> {
        let when = &self.line.when;
        when.start..when.end.max(when.start + 1)
    }

    /// Whether the lever was off only well after the line could last be saved.
    fn went_on(&self) -> bool {
        let until = self.line.until;
        until.is_some_and(|until| until + SEVERAL / 2 < self.line.when.start)
    }

    /// The learner's first move worth a mention; if it was too large, the first that went beyond the better flight's.
    fn first(&self) -> Option<LeverMove> {
        let beyond = |right: LeverMove| {
            let far =
                |m: &LeverMove| (m.to - right.to) * right.by() > 0.0 && m.by() * right.by() > 0.0;
            self.lever.moves().into_iter().find(far)
        };
        let is_much = self.line.kind == LineKind::PowerTooMuch;
        let right = self.better_moves().filter(|_| is_much);
        let right = right.and_then(|moves| moves.first().copied());
        right.and_then(beyond).or_else(|| self.own(0))
    }

    /// The learner's first move worth a mention from a tick on.
    fn own(&self, from: u64) -> Option<LeverMove> {
        let moves = self.lever.moves().into_iter();
        moves
            .skip_while(|m| m.start < from)
            .find(|m| m.by().abs() >= self.least)
    }

    /// Where the learner made the move that came late or early. A late one lies as long after the tick from which the better
    /// flight differs as it was late; an early one lies at that tick.
    fn did_at(&self) -> String {
        let late = u64::from(self.line.kind.is_late()) * (self.line.amount / TICK_S).round() as u64;
        let own = self.better.and_then(|(_, from)| self.own(from + late));
        own.map_or_else(String::new, |m| {
            format!(", {}", self.place(self.run, m.start))
        })
    }

    /// Where a flight was at a tick, as a person sees it.
    fn place(&self, run: &Run, tick: u64) -> String {
        let trace = run.trace();
        let state = trace.state((tick as usize).min(trace.ticks()));
        if let Some(fast_mps) = run.fast_mps(tick) {
            return format!("at {:.0} kt fast", fast_mps / KT);
        }
        if let Target::Path(glide) = &self.leg.target {
            return format!("at {:.2} nm out", glide.distance_m(state, tick) / NM);
        }
        let unit = self.leg.target.unit_name();
        match self.to_go(run, tick) {
            Some(to_go) if to_go > 0.0 => format!("at {} {unit} to go", plain(to_go)),
            Some(0.0) => "on the number".to_string(),
            Some(to_go) => format!("at {} {unit} past it", plain(-to_go)),
            None => format!("at {}", clock(tick as f64 * TICK_S)),
        }
    }

    /// How far a step or a rate still has to go at a tick of a flight, as it is read, in its unit; None where there is no
    /// number to go by. A vertical speed swings and may not come back to a value: it serves as a cue only until it is in the
    /// band.
    fn to_go(&self, run: &Run, tick: u64) -> Option<f64> {
        let target = &self.leg.target;
        let state = |run: &Run, tick: u64| {
            let last = run.trace().ticks();
            *run.trace().state((tick as usize).min(last))
        };
        let (begun, now) = (state(self.run, self.leg.start), state(run, tick));
        let way = target.error(&begun, self.leg.start).signum();
        let to_go = way * target.error(&now, tick) / target.unit();
        match &self.leg.kind {
            drill::Kind::Step(_) => Some(to_go.round() + 0.0),
            drill::Kind::Rate(_) => {
                let band = target.band(&now, tick) / target.unit();
                Some((to_go / TENS).round() * TENS).filter(|to_go| *to_go > band)
            }
            _ => None,
        }
    }

    /// The outcome of the line, where a few words can say it.
    fn outcome(&self) -> &'static str {
        let [from, to] = [self.line.from, self.line.to].map(|tick| {
            let state = &self.run.trace().at(tick as usize).state;
            self.error(tick) / self.leg.target.band(state, tick)
        });
        // A rate or a path can be left on the high side while sinking.
        let is_level = matches!(self.leg.target, Target::Altitude { .. });
        match (from.abs() <= 1.0, to.abs() <= 1.0) {
            (true, false) if to > 0.0 && is_level => "; it rose out of the band",
            (true, false) if is_level => "; it sank out of the band",
            (true, false) if to > 0.0 => "; it left the band on the high side",
            (true, false) => "; it left the band on the low side",
            (false, false) if from * to < 0.0 => "; it went right through the band",
            (false, false) if to.abs() > from.abs() => "; it went farther off",
            _ => "",
        }
    }

    /// Whether the learner's lever was lower than the better flight's by enough to mention, and the better flight's itself
    /// stays above idle.
    fn was_below(&self) -> bool {
        let own = (self.line.from..=self.line.to).map(|tick| self.lever.at(tick));
        let own = own.fold(f64::INFINITY, f64::min);
        self.floor()
            .is_some_and(|floor| floor >= IDLE && own <= floor - self.least)
    }

    /// Whether the aeroplane climbs over the line.
    fn climbs(&self) -> bool {
        let state = |tick: u64| self.run.trace().state(tick as usize);
        state(self.line.when.end).h_m > state(self.line.when.start).h_m
    }

    /// The learner's error from what is asked, + above.
    fn error(&self, tick: u64) -> f64 {
        let state = &self.run.trace().at(tick as usize).state;
        self.leg.target.error(state, tick)
    }

    /// The side of what is asked on which the line lies.
    fn side(&self) -> &'static str {
        let middle = self.line.from + (self.line.to - self.line.from) / 2;
        match (&self.leg.kind, self.error(middle) > 0.0) {
            (drill::Kind::Rate(_), true) => "above the rate",
            (drill::Kind::Rate(_), false) => "below the rate",
            (_, true) => "high",
            (_, false) => "low",
        }
    }
}
