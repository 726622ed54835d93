//! Examples for the help of each command: one table. Every one of them is run by a test.

use clap::Command;

/// The examples of a command, each with what it does; those of the program itself stand under "".
type Rows = (&'static str, &'static [(&'static str, &'static str)]);

#[rustfmt::skip]
const EXAMPLES: &[Rows] = &[
    ("", &[
        ("leveloff", "choose a drill, fly it, read why, fly again"),
        ("leveloff fly quarry-stair", "straight to one drill"),
    ]),
    ("fly", &[
        ("leveloff fly quarry-stair --aids some --seed 7", "with less help, in air you can repeat"),
        ("leveloff fly quarry-stair --air lively --echo par", "in gusts, par's flight beside yours"),
        ("leveloff fly quarry-stair --hand level_off_late", "see what a late level-off looks like"),
    ]),
    ("brief", &[("leveloff brief quarry-stair", "the numbers to go in with")]),
    ("simulate", &[
        ("leveloff simulate catch-the-sink --hand steady --save", "what a skilled hand makes of it, kept in the logbook"),
        ("leveloff simulate catch-the-sink --hand green --air light --repeat 20 --seed 1", "how a beginner's points vary with the air"),
        ("leveloff simulate catch-the-sink --lever lever.csv --track track.csv", "fly a lever script, write the track"),
    ]),
    ("check", &[("leveloff check drill.toml", "whether a drill can be flown as written")]),
    ("debrief", &[
        ("leveloff debrief", "the latest run"),
        ("leveloff debrief --html debrief.html --svg debrief.svg", "as a page to print or send, and its picture alone"),
        ("leveloff debrief one.json", "a run somebody sent you"),
        ("leveloff debrief 20261125-223015-a1b2 --json", "one run for a tool of your own"),
        ("leveloff debrief 20261125-223015-a1b2 --practise 1 > practice.toml", "the first line of the bill as a drill"),
    ]),
    ("judge", &[
        ("leveloff judge track.csv --drill catch-the-sink", "a track from `simulate --track`, or any log with such a header"),
        ("leveloff judge flight.csv --drill catch-the-sink --columns t=Time,altitude=ALT:ft,lever=THR:%", "a log with column names of its own"),
    ]),
    ("log", &[("leveloff log", "the saved runs")]),
    ("next", &[("leveloff next", "what to fly now, and why")]),
    ("note", &[
        ("leveloff note 20261125-223015-a1b2 \"your level power was right here\" --task 1 --by coach", "comment on one task"),
        ("leveloff note one.json \"much quieter than last week\"", "comment on a run somebody sent you"),
        ("leveloff note 20261125-223015-a1b2", "read the comments"),
    ]),
    ("verify", &[
        ("leveloff verify one.json other.json", "whether what learners sent is what they flew"),
        ("leveloff verify one.json --drill quarry-stair", "and whether it is of the drill you handed out"),
    ]),
    ("compare", &[("leveloff compare one.json 20261125-223015-a1b2", "somebody's run beside one from the logbook")]),
    ("class", &[
        ("leveloff class recordings", "what a class flew, drill by drill"),
        ("leveloff class recordings --csv > class.csv", "a row for each run, for a spreadsheet"),
    ]),
    ("drills", &[("leveloff drills", "what there is to fly")]),
    ("aircraft", &[("leveloff aircraft \"deck jet\" --altitude-ft 3000", "its powers, its drag curve, how far it carries on")]),
    ("fit", &[
        ("leveloff fit --rows rows.csv --engine-from-idle-s 2.8 --stall-kt 111 --out mine.toml", "an aeroplane that flies as the rows say"),
        ("leveloff fit < rows.csv | head -4", "the file itself, from piped rows"),
    ]),
    ("gates", &[
        ("leveloff gates --slope 3.5 --deck-ft 60 --speed-kt 130", "altitudes, sink and power of a path"),
        ("leveloff gates --slope 4 --deck-ft 58 --aircraft \"deck jet\" --wind-kt 15 --deck-kt 12", "down to a moving deck, in wind"),
    ]),
    #[cfg(feature = "axes")]
    ("axes", &[("leveloff axes find", "the devices and their axes")]),
    ("config", &[
        ("leveloff config init", "create the file"),
        ("leveloff config show", "what is set, and where"),
        ("leveloff config path", "where it is"),
    ]),
    ("man", &[
        ("leveloff man > leveloff.1", "then `man ./leveloff.1`"),
        ("leveloff man fly > leveloff-fly.1", "the page of one command"),
    ]),
    ("completions", &[("leveloff completions bash > leveloff.bash", "then `source leveloff.bash`")]),
];

/// Adds its examples to the end of each command's help; in that of the program itself they come before the caution.
pub fn add_to(mut command: Command) -> Command {
    for (name, rows) in EXAMPLES {
        let text = text(rows);
        command = match name.is_empty() {
            true => {
                let caution = command.get_after_help().map(ToString::to_string);
                command.after_help(format!("{text}\n\n{}", caution.unwrap_or_default()))
            }
            false => command.mut_subcommand(name, |command| command.after_help(text)),
        };
    }
    command
}

fn text(rows: &[(&str, &str)]) -> String {
    let rows = rows
        .iter()
        .map(|(line, what)| format!("  {line}\n      {what}"));
    format!("Examples:\n{}", rows.collect::<Vec<_>>().join("\n"))
}
