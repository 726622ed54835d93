//! The feature `axes`: a throttle axis from its device file to the lever. A FIFO stands in for the device: it is read in the
//! same way.

#[path = "../it/pty_harness.rs"]
mod pty_harness;
mod records;

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::pty_harness::{LIMIT, Start};

/// A folder with a FIFO named like a joystick device, removed on drop.
struct Device(PathBuf);

impl Device {
    fn new(name: &str) -> Device {
        let folder =
            std::env::temp_dir().join(format!("leveloff-axes-{}-{name}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let made = Command::new("mkfifo").arg(folder.join("js0")).status();
        assert!(made.unwrap().success());
        Device(folder)
    }

    fn file(&self) -> PathBuf {
        self.0.join("js0")
    }

    /// The device's own end, opened for reading and writing so that it does not wait for a reader and no reader sees its end.
    fn open(&self) -> File {
        let mut both = OpenOptions::new();
        both.read(true).write(true).open(self.file()).unwrap()
    }

    fn set_up(&self) -> PathBuf {
        let set_up = self.0.join("axis.toml");
        let device = self.file();
        let text =
            format!("device = {device:?}\naxis = 2\noff = 32767\nfull = -32767\ndead = 0.5\n");
        std::fs::write(&set_up, text).unwrap();
        set_up
    }
}

impl Drop for Device {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A record of the axis with a number.
fn record(number: u8, value: i16) -> Vec<u8> {
    let [low, high] = value.to_ne_bytes();
    vec![0, 0, 0, 0, low, high, 2, number]
}

fn leveloff(args: &[&str], paths: &[&Path]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_leveloff"));
    command.args(args).args(paths);
    command
}

#[test]
fn devices_and_their_axes_are_found() {
    let device = Device::new("find");
    let mut end = device.open();
    end.write_all(&[record(0, 5), record(2, -7)].concat())
        .unwrap();
    let found = leveloff(&["axes", "find", "--dir"], &[&device.0])
        .output()
        .unwrap();
    let told = String::from_utf8(found.stdout).unwrap();
    assert!(told.contains("js0") && told.contains("axes 0 2"), "{told}");
    let empty = leveloff(&["axes", "find", "--dir", "/nowhere"], &[])
        .output()
        .unwrap();
    assert!(
        String::from_utf8(empty.stdout)
            .unwrap()
            .contains("no joystick")
    );
}

#[test]
fn an_axis_is_set_up_by_moving_it() {
    let device = Device::new("calibrate");
    let mut end = device.open();
    let set_up = device.0.join("of/axis.toml");
    let mut command = leveloff(
        &["axes", "calibrate"],
        &[&device.file(), Path::new("--to"), &set_up],
    );
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let mut step = |values: &[i16]| {
        let records = values
            .iter()
            .flat_map(|value| [record(0, value / 9), record(3, *value)]);
        end.write_all(&records.collect::<Vec<_>>().concat())
            .unwrap();
        stdin.write_all(b"\n").unwrap();
        // Each question goes on listening for a while after enter.
        std::thread::sleep(Duration::from_millis(400));
    };
    step(&[0, 20_000, -31_000]);
    step(&[-30_000]);
    step(&[30_100]);
    end.write_all(&[record(3, 30_000), record(3, 30_160), record(3, 30_100)].concat())
        .unwrap();
    let done = child.wait_with_output().unwrap();
    let told = String::from_utf8(done.stdout).unwrap();
    assert!(done.status.success(), "{told}");
    assert!(told.contains("reversed"), "{told}");
    let written = std::fs::read_to_string(set_up).unwrap();
    for line in ["axis = 3", "off = 30100", "full = -30000"] {
        assert!(written.contains(line), "{line} in {written}");
    }
    // 160 of 60,100 is 0.27 %, and half as much again.
    assert!(written.contains("dead = 0.4"), "{written}");
}

#[test]
fn a_set_up_that_cannot_be_flown_is_refused() {
    let device = Device::new("refused");
    let set_up = device.set_up();
    let refused = |text: &str, why: &str| {
        std::fs::write(&set_up, text).unwrap();
        let tried = leveloff(&["axes", "test"], &[&set_up]).output().unwrap();
        let told = String::from_utf8(tried.stderr).unwrap();
        assert_eq!(tried.status.code(), Some(2), "{told}");
        assert!(told.contains(why), "{told}");
    };
    let rest = "device = \"js0\"\naxis = 2\ndead = 0.5\n";
    refused(
        &format!("{rest}off = 5\nfull = 90\n"),
        "at least 1000 are needed",
    );
    refused(rest, "missing field `off`");
    std::fs::remove_file(&set_up).unwrap();
    let tried = leveloff(&["axes", "test"], &[&set_up]).output().unwrap();
    assert_eq!(tried.status.code(), Some(2));
}

#[test]
fn the_lever_follows_an_axis_in_flight() {
    let device = Device::new("fly");
    let mut end = device.open();
    let axis = format!("--axis={}", device.set_up().display());
    let pty = Start::on(80, 24)
        .args(&["fly", "quarry-stair", "--seed", "5", &axis])
        .spawn();
    pty.wait_text("ready: space begins");
    // Reversed: full at -32,767. On its way from power off to full it passes the lever, and takes it.
    end.write_all(&record(2, 32_767)).unwrap();
    pty.wait_text("axis at 0 %");
    pty.send(" ");
    end.write_all(&[record(2, -32_767), record(2, 0)].concat())
        .unwrap();
    pty.wait_for(|text| text.contains("lever  50.0 %"), LIMIT);
    // Another axis is ignored.
    end.write_all(&[record(1, -32_767), record(2, 15_728)].concat())
        .unwrap();
    pty.wait_for(|text| text.contains("lever  25.0 %"), LIMIT);
}

#[test]
fn what_the_lever_would_do_is_shown() {
    let device = Device::new("test");
    let set_up = device.set_up();
    let records = [
        record(2, 32_767),
        record(2, 32_700),
        record(2, 0),
        record(2, -32_767),
    ];
    std::fs::remove_file(device.file()).unwrap();
    std::fs::write(device.file(), records.concat()).unwrap();
    let shown = leveloff(&["axes", "test"], &[&set_up]).output().unwrap();
    let told = String::from_utf8(shown.stdout).unwrap();
    assert_eq!(told, "lever   0.0 %\nlever  50.0 %\nlever 100.0 %\n");
}
