//! The committed code files: which there are, what each says of itself in its
//! head, and each loaded once, when somebody asks for it.
//!
//! A code loads what it is based on and what it borrows from, and nothing else.
//! The data is part of the program; nothing is read from disk.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::code::{Code, Earlier};
use super::error::LoadError;
use super::head::{Head, split};
use super::load::load_whole;
use crate::rule::nearest;

/// One code: its file, further files for one subject each, and the rules in
/// them once they are read.
struct Volume {
    text: &'static str,
    parts: &'static [&'static str],
    loaded: OnceLock<Result<Code, LoadError>>,
}

const fn volume(text: &'static str, parts: &'static [&'static str]) -> Volume {
    Volume { text, parts, loaded: OnceLock::new() }
}

/// An edition stands after the one it is based on, a borrower after its lender.
static VOLUMES: [Volume; 14] = [
    volume(
        include_str!("../../../../codes/aws-d1.1-2020.toml"),
        &[
            include_str!("../../../../codes/aws-d1.1-2020.procedure.toml"),
            include_str!("../../../../codes/aws-d1.1-2020.fit-up.toml"),
        ],
    ),
    volume(
        include_str!("../../../../codes/aws-d1.1-2015.toml"),
        &[include_str!("../../../../codes/aws-d1.1-2015.procedure.toml")],
    ),
    volume(include_str!("../../../../codes/aws-d1.1-2025.toml"), &[]),
    volume(
        include_str!("../../../../codes/asme-ix-2023.toml"),
        &[include_str!("../../../../codes/asme-ix-2023.procedure.toml")],
    ),
    volume(
        include_str!("../../../../codes/asme-ix-2017.toml"),
        &[include_str!("../../../../codes/asme-ix-2017.procedure.toml")],
    ),
    volume(include_str!("../../../../codes/asme-ix-2010.toml"), &[]),
    volume(
        include_str!("../../../../codes/api-1104-2013.toml"),
        &[include_str!("../../../../codes/api-1104-2013.procedure.toml")],
    ),
    volume(include_str!("../../../../codes/49-cfr-192-appendix-c.toml"), &[]),
    volume(include_str!("../../../../codes/asme-b31.1-2016.toml"), &[]),
    volume(include_str!("../../../../codes/asme-b31.3-undated.toml"), &[]),
    volume(include_str!("../../../../codes/iso-5817-2014.toml"), &[]),
    volume(include_str!("../../../../codes/iso-5817-2023.toml"), &[]),
    volume(
        include_str!("../../../../codes/iso-9606-1-2017.toml"),
        &[include_str!("../../../../codes/iso-9606-1-2017.exam.toml")],
    ),
    volume(
        include_str!("../../../../codes/iso-15614-1-2017.toml"),
        &[include_str!("../../../../codes/iso-15614-1-2017.exam.toml")],
    ),
];

/// What the codes say of themselves, in the order of the list.
pub(crate) fn heads() -> Result<&'static [Head], LoadError> {
    static HEADS: OnceLock<Result<Vec<Head>, LoadError>> = OnceLock::new();
    let read = || VOLUMES.iter().map(|volume| Head::read(split(volume.text).0)).collect();
    HEADS.get_or_init(read).as_deref().map_err(Clone::clone)
}

/// Every code, in the order of the list.
pub(crate) fn all() -> Result<&'static [&'static Code], LoadError> {
    static ALL: OnceLock<Result<Vec<&'static Code>, LoadError>> = OnceLock::new();
    ALL.get_or_init(|| (0..VOLUMES.len()).filter_map(at).collect()).as_deref().map_err(Clone::clone)
}

/// The code whose head is the `n`th, loaded by the first who asks; `None` past
/// the end.
pub(crate) fn at(n: usize) -> Option<Result<&'static Code, LoadError>> {
    let volume = VOLUMES.get(n)?;
    // It asks for codes before it only, so no two wait for each other.
    let loaded = volume.loaded.get_or_init(|| load_whole(volume.text, volume.parts, &Before(n)));
    Some(loaded.as_ref().map_err(Clone::clone))
}

/// The codes that stand before the `n`th.
struct Before(usize);

impl Before {
    fn heads(&self) -> Result<impl Iterator<Item = &'static Head>, LoadError> {
        Ok(heads()?.iter().take(self.0))
    }
}

impl Earlier<'static> for Before {
    fn named(&self, id: &str) -> Result<Option<&'static Code>, LoadError> {
        self.heads()?.position(|head| head.id == id).and_then(at).transpose()
    }

    fn nearest(&self, id: &str) -> Option<String> {
        nearest(id, self.heads().ok()?.map(|head| head.id.as_str()))
    }
}

/// Ids of the rules that stand in the files, each with the place of the first
/// code that writes it. An edition carries over further ones of its base.
pub(crate) fn rule_ids() -> &'static BTreeMap<&'static str, usize> {
    static IDS: OnceLock<BTreeMap<&'static str, usize>> = OnceLock::new();
    IDS.get_or_init(|| {
        let mut ids = BTreeMap::new();
        for (n, volume) in VOLUMES.iter().enumerate() {
            for text in std::iter::once(&volume.text).chain(volume.parts) {
                for id in written_ids(split(text).1) {
                    ids.entry(id).or_insert(n);
                }
            }
        }
        ids
    })
}

/// The values of the lines `id = "…"`.
fn written_ids(rules: &'static str) -> impl Iterator<Item = &'static str> {
    rules.lines().filter_map(|line| line.strip_prefix("id = \"")?.strip_suffix('"'))
}
