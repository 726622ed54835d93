//! The harness tested on a shell, so that failures elsewhere can be trusted.

use crate::pty_harness::{Answers, Pty, Start};

fn shell(script: &str) -> Pty {
    Start::on(40, 6)
        .args(&["-c", script])
        .spawn_other("/bin/sh")
}

#[test]
fn text_keys_size_and_exit_code_come_through() {
    let mut pty = shell("echo ready; read line; echo \"got $line\"; stty size; exit 7");
    pty.wait_text("ready");
    pty.resize(50, 9);
    pty.send("abc\n");
    let text = pty.wait_text("9 50");
    assert!(text.contains("got abc"), "{text}");
    assert_eq!(pty.exit_code(), 7);
    pty.assert_restored();
}

#[test]
fn a_terminal_left_in_disorder_is_noticed() {
    let script = r"stty raw -echo; printf '\033[?1049h\033[?25l\033[?1004h\033[?2004h\033[?1002h\033[>15u\033[1m'";
    let mut pty = shell(script);
    assert_eq!(pty.exit_code(), 0);
    assert_eq!(
        pty.left_behind(),
        [
            "alternate screen",
            "hidden cursor",
            "bracketed paste",
            "mouse reports",
            "focus reports",
            "keyboard protocol",
            "text attributes",
            "raw mode",
        ]
    );
}

#[test]
fn questions_are_answered_as_asked_for() {
    let script = r"stty raw -echo; printf '\033[?u\033[c'; dd bs=1 count=5 2>/dev/null | od -An -c; stty sane";
    let asked = |answers| {
        let start = Start::on(40, 6).answers(answers).args(&["-c", script]);
        start.spawn_other("/bin/sh")
    };
    asked(Answers::Kitty).wait_text("033   [   ?   0   u");
    asked(Answers::Plain).wait_text("033   [   ?   6   2");
}

#[test]
fn stops_deaths_and_hang_ups_are_seen() {
    let mut pty = shell("trap '' TSTP; echo up; kill -s STOP $$; echo on; kill -s KILL $$");
    pty.wait_text("up");
    pty.wait_stopped();
    pty.signal("CONT");
    pty.wait_text("on");
    assert_eq!(pty.exit(), Err("Killed".to_owned()));

    let mut pty = shell("trap 'exit 3' HUP; echo up; while :; do sleep 0.05; done");
    pty.wait_text("up");
    pty.close();
    assert_eq!(pty.exit_code(), 3);
}
