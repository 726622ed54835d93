//! The preferences: one table of keys. An argument takes precedence over the environment, and the environment over the file.

use std::collections::BTreeMap;
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;

use super::{find, output, wrong};
use crate::drill::printable::is_plain;
use crate::drill::reader::{FileError, Source, Table};

/// What the value of a key may be.
pub enum Takes {
    /// One of these words.
    Word(&'static [&'static str]),
    /// A line of text of at most this many characters.
    Text(usize),
    /// The whole path of a folder or a file.
    Path,
    /// True or false.
    Flag,
}

/// A row of the table.
pub struct Key {
    /// Its name in the file.
    pub name: &'static str,
    /// Its environment variable.
    pub variable: &'static str,
    /// What its value may be.
    pub takes: Takes,
    /// What it is for, as a sentence.
    pub about: &'static str,
    /// What holds where it is not set.
    pub unset: &'static str,
    /// An example of a value.
    pub example: &'static str,
}

/// Longest name of a pilot, characters: room for a full name in a table.
const LONGEST_NAME: usize = 40;

/// Every key there is.
pub const KEYS: &[Key] = &[
    Key {
        name: "aids",
        variable: "LEVELOFF_AIDS",
        takes: Takes::Word(&["full", "some", "bare"]),
        about: "How much the screen helps: full (forecast and level mark), some (level mark), bare.",
        unset: "what each drill says",
        example: "some",
    },
    Key {
        name: "data",
        variable: "LEVELOFF_DATA",
        takes: Takes::Path,
        about: "Folder for the logbook, as a full path.",
        unset: "leveloff in your data folder",
        example: "/home/me/flying",
    },
    Key {
        name: "lesson",
        variable: "LEVELOFF_LESSON",
        takes: Takes::Path,
        about: "A lesson to follow: the full path of its file (`leveloff check --help` has the format).",
        unset: "the ladder that ships",
        example: "/home/me/flying/lesson.toml",
    },
    Key {
        name: "pilot",
        variable: "LEVELOFF_PILOT",
        takes: Takes::Text(LONGEST_NAME),
        about: "Your name, kept with what you fly and shown in its debrief.",
        unset: "no name",
        example: "Kim",
    },
    Key {
        name: "theme",
        variable: "LEVELOFF_THEME",
        takes: Takes::Word(&["light", "dark"]),
        about: "Colours for a light or a dark background.",
        unset: "the terminal is asked",
        example: "dark",
    },
    Key {
        name: "bell",
        variable: "LEVELOFF_BELL",
        takes: Takes::Flag,
        about: "Ring the bell at a capture, a gate and a call.",
        unset: "false",
        example: "true",
    },
    Key {
        name: "mouse",
        variable: "LEVELOFF_MOUSE",
        takes: Takes::Flag,
        about: "Move the lever with the mouse too: its wheel, and along the rail.",
        unset: "false",
        example: "true",
    },
];

/// Where a value is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum From {
    /// An environment variable.
    Environment,
    /// The file.
    File,
}

/// The preferences that are set.
#[derive(Debug, Default)]
pub struct Preferences(BTreeMap<&'static str, (OsString, From)>);

impl Key {
    fn read(&self, table: &Table) -> Result<OsString, FileError> {
        Ok(match self.takes {
            Takes::Word(words) => table.word(self.name, words)?.value.into(),
            Takes::Flag => table.flag(self.name, false)?.value.to_string().into(),
            Takes::Text(longest) => {
                let text = table.text(self.name, longest)?;
                if let Some(fault) = self.fault(text.value.as_ref()) {
                    return Err(table.error(text.at, format!("`{}`: {fault}", self.name)));
                }
                text.value.into()
            }
            Takes::Path => {
                let path = table.text(self.name, 4096)?;
                if !Path::new(&path.value).is_absolute() {
                    let message = format!("`{}` is not a full path; begin it with /", self.name);
                    return Err(table.error(path.at, message));
                }
                path.value.into()
            }
        })
    }

    /// What a value of the environment or of an argument would have to be; None where it is right. A path is checked when it is
    /// used.
    pub fn fault(&self, value: &OsStr) -> Option<String> {
        let text = value.to_str();
        let right = match self.takes {
            Takes::Word(words) if text.is_some_and(|text| words.contains(&text)) => return None,
            Takes::Word(words) => format!("one of {}", words.join(", ")),
            Takes::Text(longest) if text.is_some_and(|text| is_line(text, longest)) => return None,
            Takes::Text(longest) => format!("one line of 1 to {longest} plain characters"),
            Takes::Path => return None,
            Takes::Flag if matches!(text, Some("true" | "false")) => return None,
            Takes::Flag => "true or false".to_string(),
        };
        Some(format!("it takes {right}"))
    }
}

/// Whether a text is a name: a line of at most so many plain characters, not blank.
pub fn is_line(text: &str, longest: usize) -> bool {
    (1..=longest).contains(&text.chars().count())
        && text.chars().all(is_plain)
        && !text.trim().is_empty()
}

/// The row of a key.
pub fn key(name: &str) -> Option<&'static Key> {
    KEYS.iter().find(|key| key.name == name)
}

/// The file of preferences; None where there is no home folder.
pub fn path() -> Option<PathBuf> {
    let base = etcetera::choose_base_strategy().ok()?;
    Some(base.config_dir().join("leveloff").join("config.toml"))
}

impl Preferences {
    /// Reads the file, which need not be there, and the environment; `get` looks a variable up. An empty variable counts as not
    /// set.
    pub fn load(get: impl Fn(&str) -> Option<OsString>) -> anyhow::Result<Preferences> {
        let mut found = Preferences::default();
        if let Some(file) = path().filter(|file| file.exists()) {
            found.read(&output::name(&file), &find::read(&file)?)?;
        }
        for key in KEYS {
            let Some(value) = get(key.variable).filter(|value| !value.is_empty()) else {
                continue;
            };
            if let Some(fault) = key.fault(&value) {
                let shown = output::clean(&value.to_string_lossy());
                return wrong(format!("{} is `{shown}`; {fault}", key.variable));
            }
            found.0.insert(key.name, (value, From::Environment));
        }
        Ok(found)
    }

    fn read(&mut self, file: &str, text: &str) -> Result<(), FileError> {
        let names: Vec<&str> = KEYS.iter().map(|key| key.name).collect();
        Source { file, text }.read(&names, |table| {
            for key in KEYS.iter().filter(|key| table.has(key.name)) {
                self.0.insert(key.name, (key.read(table)?, From::File));
            }
            Ok(())
        })
    }

    /// The value of a key and where it is from.
    pub fn get(&self, name: &str) -> Option<&(OsString, From)> {
        debug_assert!(KEYS.iter().any(|key| key.name == name), "{name}");
        self.0.get(name)
    }

    /// The text of a key.
    pub fn text(&self, name: &str) -> Option<&str> {
        self.get(name)?.0.to_str()
    }

    /// Whether a key is set to true.
    pub fn flag(&self, name: &str) -> bool {
        self.text(name) == Some("true")
    }

    /// The path of a key.
    pub fn path(&self, name: &str) -> Option<PathBuf> {
        Some(PathBuf::from(&self.get(name)?.0))
    }
}

/// The text of a file in which every key is explained and none is set.
pub fn blank() -> String {
    let mut text = String::from(
        "# What leveloff does every time. Remove the # from a line to set it; an argument overrides\n\
         # the environment, and that overrides this file. `leveloff config` shows what applies.\n",
    );
    for key in KEYS {
        text += &format!(
            "\n# {}\n# Not set: {}. In the environment: {}.\n# {} = {}\n",
            key.about,
            key.unset,
            key.variable,
            key.name,
            match key.takes {
                Takes::Flag => key.example.to_string(),
                _ => format!("\"{}\"", key.example),
            }
        );
    }
    text
}
