//! Hydrogen in weld metal: the scale of EN 1011-2 and what a process is counted
//! as where nobody states more, from `data/hydrogen_en1011.toml`.
//!
//! Invents no class: a process without a row has none until someone states it.

use std::sync::LazyLock;

use toml::Table;

use crate::basis::Basis;
use crate::table::{self, DataError, Sourced};
use crate::words::Process;

/// One class of the scale.
#[derive(Debug, Clone, PartialEq)]
pub struct HydrogenClass {
    /// `A`, the most, to `E`, the least.
    pub letter: String,
    /// More than this, ml per 100 g.
    pub over: f64,
    /// Up to this, ml per 100 g; class A has no upper end.
    pub to: Option<f64>,
    /// Where the range was read.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

impl HydrogenClass {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let origin = table::sourced(entry, ())?;
        Ok(Self {
            letter: table::text(entry, "letter")?.to_owned(),
            over: table::number(entry, "over")?,
            to: table::number_if_any(entry, "to")?,
            source: origin.source,
            basis: origin.basis,
        })
    }
}

/// A process and the letter it is counted as.
type Usual = (Process, Sourced<String>);

/// Everything of the file.
#[derive(Debug, Default)]
struct File {
    classes: Vec<HydrogenClass>,
    usual: Vec<Usual>,
}

fn read(text: &str) -> Result<File, DataError> {
    let usual = |entry: &Table| -> Result<Usual, DataError> {
        let process = Process::from_word(table::text(entry, "process")?);
        let process = process.ok_or_else(|| DataError::new("process", "is not known"))?;
        Ok((process, table::sourced(entry, table::text(entry, "class")?.to_owned())?))
    };
    Ok(File {
        classes: table::entries(text, "class")?.iter().map(HydrogenClass::read).collect::<Result<_, _>>()?,
        usual: table::entries(text, "usual")?.iter().map(usual).collect::<Result<_, _>>()?,
    })
}

fn file() -> &'static File {
    // The text is committed and a test reads it, so it cannot fail in the field.
    static FILE: LazyLock<File> =
        LazyLock::new(|| read(include_str!("../../../data/hydrogen_en1011.toml")).unwrap_or_default());
    &FILE
}

/// The class of this letter; case does not matter.
pub fn hydrogen_class(letter: &str) -> Option<&'static HydrogenClass> {
    file().classes.iter().find(|class| class.letter.eq_ignore_ascii_case(letter.trim()))
}

/// The class a process is counted as where nobody states another, with the
/// source of that; `None` where no source and no memory gives one.
pub fn usual_hydrogen(process: Process) -> Option<(&'static HydrogenClass, &'static Sourced<String>)> {
    let (_, usual) = file().usual.iter().find(|(of, _)| *of == process)?;
    Some((hydrogen_class(&usual.value)?, usual))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The five ranges of EN 1011-2 lie one upon the other, from 0 without end.
    #[test]
    fn the_scale_has_no_gap() {
        let file = read(include_str!("../../../data/hydrogen_en1011.toml")).unwrap();
        let ends: Vec<_> = file.classes.iter().map(|c| (c.letter.as_str(), c.over, c.to)).collect();
        assert_eq!(
            ends,
            [
                ("A", 15.0, None),
                ("B", 10.0, Some(15.0)),
                ("C", 5.0, Some(10.0)),
                ("D", 3.0, Some(5.0)),
                ("E", 0.0, Some(3.0)),
            ]
        );
        assert!(file.usual.iter().all(|(_, class)| hydrogen_class(&class.value).is_some()));
    }

    #[test]
    fn only_a_process_with_a_row_has_a_usual_class() {
        let (class, why) = usual_hydrogen(Process::Gmaw).unwrap();
        assert_eq!((class.letter.as_str(), why.basis), ("C", Basis::Memory));
        for process in [Process::Fcaw, Process::Smaw, Process::Gtaw, Process::Saw] {
            assert_eq!(usual_hydrogen(process), None, "{process}");
        }
        assert_eq!(hydrogen_class(" d ").unwrap().to, Some(5.0));
        assert_eq!(hydrogen_class("F"), None);
    }
}
