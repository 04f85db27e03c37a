//! The known name most like one that is not known.

/// Longest name compared or repeated back, in bytes; longer ones are hostile.
const NAME_MAX_BYTES: usize = 80;

pub(crate) fn shortened(name: &str) -> String {
    name.chars().take(NAME_MAX_BYTES).collect()
}

/// The known name most like `wanted`; the first of equals.
pub(crate) fn nearest<'a>(wanted: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
    let wanted = shortened(wanted);
    let mut best: Option<(f64, &str)> = None;
    for name in known {
        let likeness = strsim::jaro_winkler(&wanted, name);
        if best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, name));
        }
    }
    best.map(|(_, name)| name.to_owned())
}
