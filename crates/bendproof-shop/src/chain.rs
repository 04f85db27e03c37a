//! The audit chain: one SHA-256 per event over a canonical encoding that holds
//! the hash of the event before.
//!
//! The encoding is fixed for good, because a changed encoding would break every
//! shop's chain: a domain line, then every field in the order of [`Event`],
//! texts and lists led by their length, absent fields marked by one byte. Two
//! different events therefore never encode to the same bytes.

use sha2::{Digest, Sha256};

use crate::model::Event;

/// First bytes of every encoded event; the number is the encoding's version.
const DOMAIN: &[u8] = b"bendproof-shop event 1\n";

/// The `prev_hash` of the first event: no event before it.
pub(crate) const NO_HASH: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Writes fields in canonical form into a hasher.
struct Encoder(Sha256);

impl Encoder {
    fn number(&mut self, value: i64) {
        self.0.update(value.to_be_bytes());
    }

    fn length(&mut self, length: usize) {
        self.0.update((length as u64).to_be_bytes());
    }

    fn text(&mut self, text: &str) {
        self.length(text.len());
        self.0.update(text.as_bytes());
    }

    fn present(&mut self, present: bool) {
        self.0.update([u8::from(present)]);
    }

    fn maybe_text(&mut self, text: Option<&str>) {
        self.present(text.is_some());
        if let Some(text) = text {
            self.text(text);
        }
    }
}

/// The hash of an event, 64 hexadecimal digits; its own `hash` is not read.
pub(crate) fn hash(event: &Event) -> String {
    let mut to = Encoder(Sha256::new_with_prefix(DOMAIN));
    to.number(event.seq);
    to.text(event.subject.word());
    to.text(&event.subject_id);
    to.number(event.version);
    to.number(event.at_ms);
    to.text(&event.who);
    to.text(event.kind.word());
    to.present(event.reverses.is_some());
    if let Some(reverses) = event.reverses {
        to.number(reverses);
    }
    to.maybe_text(event.note.as_deref());
    to.maybe_text(event.token.as_deref());
    to.length(event.changes.len());
    for change in &event.changes {
        to.text(&change.path);
        to.maybe_text(change.before.as_deref());
        to.maybe_text(change.after.as_deref());
    }
    to.text(&event.prev_hash);
    hex(&to.0.finalize())
}

/// The SHA-256 of a text as 64 hexadecimal digits.
pub(crate) fn text_hash(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes()))
}

/// Lower-case hexadecimal digits.
fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Change, EventKind, Subject};

    fn sample() -> Event {
        Event {
            seq: 7,
            subject: Subject::Coupon,
            subject_id: "C-1".into(),
            version: 3,
            at_ms: 1_790_000_000_000,
            who: "Rosa".into(),
            kind: EventKind::Undo,
            reverses: Some(2),
            note: None,
            token: Some("t".into()),
            changes: vec![Change { path: "a".into(), before: Some("1".into()), after: None }],
            prev_hash: NO_HASH.into(),
            hash: String::new(),
        }
    }

    #[test]
    fn text_hash_is_sha_256() {
        // FIPS 180-4 example for the message "abc".
        let published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(text_hash("abc"), published);
    }

    #[test]
    fn every_field_reaches_the_hash() {
        let base = sample();
        let edits: [fn(&mut Event); 14] = [
            |e| e.seq += 1,
            |e| e.subject = Subject::Person,
            |e| e.subject_id.push('1'),
            |e| e.version += 1,
            |e| e.at_ms += 1,
            |e| e.who.push(' '),
            |e| e.kind = EventKind::Redo,
            |e| e.reverses = None,
            |e| e.note = Some(String::new()),
            |e| e.token = None,
            |e| e.changes[0].path.push('b'),
            |e| e.changes[0].before = None,
            |e| e.changes[0].after = Some(String::new()),
            |e| e.prev_hash = text_hash("x"),
        ];
        let mut seen = std::collections::BTreeSet::from([hash(&base)]);
        for edit in edits {
            let mut event = base.clone();
            edit(&mut event);
            assert!(seen.insert(hash(&event)), "a field does not reach the hash");
        }
        let stored = Event { hash: "anything".into(), ..base.clone() };
        assert_eq!(hash(&stored), hash(&base));
    }

    #[test]
    fn text_cannot_move_between_fields() {
        let mut left = sample();
        left.changes = vec![Change { path: "ab".into(), before: Some("c".into()), after: None }];
        let mut right = left.clone();
        right.changes[0] = Change { path: "a".into(), before: Some("bc".into()), after: None };
        assert_ne!(hash(&left), hash(&right));
    }
}
