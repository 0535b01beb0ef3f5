//! The canonical text of an entry, written and read: fields sorted, absent ones left out, numbers as decimal strings.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt::Write;

use jiff::Timestamp;
use serde::Deserialize;

use crate::canonical::{decimal, write_string};
use crate::entry::{Author, Entry, Value};
use crate::hash::Hash;
use crate::words::{Kind, Quality, Role, Source};
use crate::zone::from_second;

/// Writes the canonical text of `entry`; its own hash is not part of it.
pub(crate) fn write_entry(out: &mut String, entry: &Entry) {
    out.clear();
    let mut object = Object::open(out);
    object.string("actor", &entry.author.actor);
    object.time("at", entry.at);
    object.maybe("clock", entry.clock.as_deref());
    object.maybe_number("corrects", entry.corrects);
    if !entry.details.is_empty() {
        object.details(&entry.details);
    }
    object.string("kind", entry.kind.word());
    if entry.logged != entry.at {
        object.time("logged", entry.logged);
    }
    object.string("node", &entry.node);
    object.hash("prev", &entry.prev);
    object.maybe("reason", entry.reason.as_deref());
    object.maybe_number("regards", entry.regards);
    object.maybe("role", entry.author.role.map(Role::word));
    object.maybe_number("seq", Some(entry.seq));
    object.string("source", entry.author.source.word());
    object.maybe("text", entry.text.as_deref());
    object.maybe("token", entry.token.as_deref());
    if !entry.values.is_empty() {
        object.values(&entry.values);
    }
    object.key("zone");
    let _ = write!(object.out, "\"{}\"", entry.zone);
    object.close();
}

/// An object being written: the caller gives the keys in sorted order.
pub(crate) struct Object<'a> {
    out: &'a mut String,
    first: bool,
}

impl<'a> Object<'a> {
    pub(crate) fn open(out: &'a mut String) -> Self {
        out.push('{');
        Self { out, first: true }
    }

    pub(crate) fn key(&mut self, key: &str) {
        if !self.first {
            self.out.push(',');
        }
        self.first = false;
        self.out.push('"');
        self.out.push_str(key);
        self.out.push_str("\":");
    }

    pub(crate) fn string(&mut self, key: &str, text: &str) {
        self.key(key);
        write_string(self.out, text);
    }

    pub(crate) fn maybe(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text {
            self.string(key, text);
        }
    }

    pub(crate) fn maybe_number(&mut self, key: &str, number: Option<u64>) {
        if let Some(number) = number {
            self.key(key);
            let _ = write!(self.out, "{number}");
        }
    }

    pub(crate) fn hash(&mut self, key: &str, hash: &Hash) {
        self.key(key);
        self.out.push('"');
        self.out.extend(hash.hex().iter().map(|&sign| char::from(sign)));
        self.out.push('"');
    }

    fn time(&mut self, key: &str, at: Timestamp) {
        self.key(key);
        let _ = write!(self.out, "\"{at}\"");
    }

    fn details(&mut self, details: &BTreeMap<String, String>) {
        self.key("details");
        let mut sorted: Vec<_> = details.iter().collect();
        sorted.sort_by(|a, b| a.0.encode_utf16().cmp(b.0.encode_utf16()));
        let mut first = true;
        self.out.push('{');
        for (key, value) in sorted {
            if !first {
                self.out.push(',');
            }
            first = false;
            write_string(self.out, key);
            self.out.push(':');
            write_string(self.out, value);
        }
        self.out.push('}');
    }

    fn values(&mut self, values: &[Value]) {
        self.key("values");
        self.out.push('[');
        for (index, value) in values.iter().enumerate() {
            if index > 0 {
                self.out.push(',');
            }
            let mut object = Object::open(self.out);
            object.string("name", &value.name);
            object.string("q", value.quality.word());
            if let Some(si) = value.si {
                object.key("si");
                object.out.push('"');
                if si == 0.0 {
                    object.out.push('0');
                } else {
                    let _ = write!(object.out, "{si}");
                }
                object.out.push('"');
            }
            object.maybe("text", value.text.as_deref());
            object.maybe("unit", value.unit.as_deref());
            object.maybe("why", value.why.as_deref());
            object.close();
        }
        self.out.push(']');
    }

    pub(crate) fn close(self) {
        self.out.push('}');
    }
}

/// An entry as its text says it, before any of it is believed.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct WireEntry<'a> {
    #[serde(borrow)]
    actor: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) at: Cow<'a, str>,
    #[serde(borrow, default)]
    clock: Option<Cow<'a, str>>,
    #[serde(default)]
    pub(crate) corrects: Option<u64>,
    #[serde(default)]
    details: BTreeMap<String, String>,
    #[serde(borrow)]
    pub(crate) kind: Cow<'a, str>,
    #[serde(borrow, default)]
    pub(crate) logged: Option<Cow<'a, str>>,
    #[serde(borrow)]
    node: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) prev: Cow<'a, str>,
    #[serde(borrow, default)]
    reason: Option<Cow<'a, str>>,
    #[serde(default)]
    regards: Option<u64>,
    #[serde(borrow, default)]
    role: Option<Cow<'a, str>>,
    pub(crate) seq: u64,
    #[serde(borrow)]
    source: Cow<'a, str>,
    #[serde(borrow, default)]
    text: Option<Cow<'a, str>>,
    #[serde(borrow, default)]
    pub(crate) token: Option<Cow<'a, str>>,
    #[serde(borrow, default)]
    pub(crate) values: Vec<WireValue<'a>>,
    #[serde(borrow)]
    zone: Cow<'a, str>,
}

/// A value as its text says it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct WireValue<'a> {
    #[serde(borrow)]
    pub(crate) name: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) q: Cow<'a, str>,
    #[serde(borrow, default)]
    pub(crate) si: Option<Cow<'a, str>>,
    #[serde(borrow, default)]
    text: Option<Cow<'a, str>>,
    #[serde(borrow, default)]
    unit: Option<Cow<'a, str>>,
    #[serde(borrow, default)]
    why: Option<Cow<'a, str>>,
}

/// Reads an entry's canonical text; the answer names the part that cannot be read.
pub(crate) fn read_entry(canonical: &str, hash: Hash) -> Result<Entry, String> {
    let wire: WireEntry<'_> =
        serde_json::from_str(canonical).map_err(|error| format!("not an entry: {error}"))?;
    let unknown =
        |field: &str, read: &str| format!("{field} \"{read}\" is not one this program knows");
    let at = read_time(&wire.at).ok_or_else(|| unknown("at", &wire.at))?;
    let logged = match &wire.logged {
        Some(text) => read_time(text).ok_or_else(|| unknown("logged", text))?,
        None => at,
    };
    let role = match &wire.role {
        Some(word) => Some(Role::from_word(word).ok_or_else(|| unknown("role", word))?),
        None => None,
    };
    Ok(Entry {
        seq: wire.seq,
        kind: Kind::from_word(&wire.kind).ok_or_else(|| unknown("kind", &wire.kind))?,
        at,
        logged,
        zone: wire.zone.parse().map_err(|_| unknown("zone", &wire.zone))?,
        node: wire.node.into_owned(),
        author: Author {
            actor: wire.actor.into_owned(),
            role,
            source: Source::from_word(&wire.source)
                .ok_or_else(|| unknown("source", &wire.source))?,
        },
        values: wire.values.into_iter().map(read_value).collect::<Result<_, _>>()?,
        text: wire.text.map(Cow::into_owned),
        details: wire.details,
        corrects: wire.corrects,
        regards: wire.regards,
        reason: wire.reason.map(Cow::into_owned),
        token: wire.token.map(Cow::into_owned),
        clock: wire.clock.map(Cow::into_owned),
        prev: wire.prev.parse().map_err(|_| unknown("prev", &wire.prev))?,
        hash,
    })
}

fn read_value(wire: WireValue<'_>) -> Result<Value, String> {
    let quality = Quality::from_word(&wire.q).ok_or_else(|| {
        format!("quality \"{}\" of {} is not one this program knows", wire.q, wire.name)
    })?;
    let si = match &wire.si {
        Some(text) => Some(
            read_decimal(text)
                .ok_or_else(|| format!("si \"{text}\" of {} is no number", wire.name))?,
        ),
        None => None,
    };
    Ok(Value {
        name: wire.name.into_owned(),
        text: wire.text.map(Cow::into_owned),
        unit: wire.unit.map(Cow::into_owned),
        si,
        quality,
        why: wire.why.map(Cow::into_owned),
    })
}

/// A decimal string as [`decimal`] writes it, and only as it writes it.
pub(crate) fn read_decimal(text: &str) -> Option<f64> {
    let number: f64 = text.parse().ok()?;
    (number.is_finite() && decimal(number) == text).then_some(number)
}

/// An instant as the record writes it: `2026-11-25T06:15:00Z`, whole seconds.
pub(crate) fn read_time(text: &str) -> Option<Timestamp> {
    let bytes = text.as_bytes();
    if bytes.len() == 20 && bytes[10] == b'T' && bytes[19] == b'Z' {
        return read_plain_time(bytes).map(from_second);
    }
    let at: Timestamp = text.parse().ok()?;
    (at.to_string() == text && at.subsec_nanosecond() == 0).then_some(at)
}

/// The second of a four-digit-year instant; a walk over millions of entries has no time for a general parser.
fn read_plain_time(bytes: &[u8]) -> Option<i64> {
    let number = |from: usize, to: usize| {
        bytes[from..to].iter().try_fold(0_i64, |sum, &digit| {
            digit.is_ascii_digit().then(|| sum * 10 + i64::from(digit - b'0'))
        })
    };
    if bytes[4] != b'-' || bytes[7] != b'-' || bytes[13] != b':' || bytes[16] != b':' {
        return None;
    }
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    let date = jiff::civil::Date::new(year as i16, month as i8, day as i8).ok()?;
    if hour > 23 || minute > 59 || second > 59 {
        return None;
    }
    Some(days_since_1970(date) * 86_400 + hour * 3600 + minute * 60 + second)
}

/// Days from 1970-01-01 to a date of the proleptic Gregorian calendar (count from 1 March, so the leap day comes last).
fn days_since_1970(date: jiff::civil::Date) -> i64 {
    let (year, month, day) =
        (i64::from(date.year()), i64::from(date.month()), i64::from(date.day()));
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let era_days = 365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    era_days + (153 * month + 2) / 5 + day - 1 - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canonical::canonical_json;
    use crate::zone::Zone;
    use proptest::prelude::*;

    pub(crate) fn sample() -> Entry {
        Entry {
            seq: 1,
            kind: Kind::Reading,
            at: "2026-11-25T06:15:00Z".parse().unwrap(),
            logged: "2026-11-25T06:15:00Z".parse().unwrap(),
            zone: Zone::from_hours(10).unwrap(),
            node: "A1".to_owned(),
            author: Author::hand("2e"),
            values: vec![Value::number("jacket_in_c", "85.0", "degC", 358.15)],
            text: None,
            details: BTreeMap::new(),
            corrects: None,
            regards: None,
            reason: None,
            token: None,
            clock: None,
            prev: Hash::NONE,
            hash: Hash::NONE,
        }
    }

    fn text_of(entry: &Entry) -> String {
        let mut out = String::new();
        write_entry(&mut out, entry);
        out
    }

    /// Worked out outside this program with Python's hashlib and `sha256sum` over the printed text.
    #[test]
    fn cross_python_hashlib_and_sha256sum_entry_hashes() {
        let first = sample();
        let text = text_of(&first);
        assert_eq!(text.len(), 270);
        let head = Hash::of_entry(&text);
        assert_eq!(
            head.to_string(),
            "83584a38741c6233d321c340c2a7acb7c137a253a006ab56f9729e4c6e9bc017"
        );

        let at: Timestamp = "2026-11-25T06:20:00Z".parse().unwrap();
        let second = Entry {
            seq: 2,
            kind: Kind::Correction,
            at,
            logged: at,
            corrects: Some(1),
            reason: Some("misread".to_owned()),
            values: vec![Value::number("jacket_in_c", "82.0", "degC", 355.15)],
            prev: head,
            ..sample()
        };
        let text = text_of(&second);
        assert_eq!(text.len(), 305);
        let hash = Hash::of_entry(&text).to_string();
        assert_eq!(hash, "6d3b5b07059eab9b303a1000d5eeae4c5e6b0aecac05f79638e7defa5d8b15f2");

        let altered = Entry {
            values: vec![Value::number("jacket_in_c", "84.0", "degC", 357.15)],
            ..sample()
        };
        assert!(Hash::of_entry(&text_of(&altered)).to_string().starts_with("521b3d6c58eae332"));
    }

    #[test]
    fn ident_every_day_of_400_years_counts_one_more() {
        let mut date = jiff::civil::date(1999, 1, 1);
        let mut expected = 10_592; // 29 years of 365 days and 7 leap days after 1970
        while date.year() < 2400 {
            assert_eq!(days_since_1970(date), expected, "{date}");
            date = date.tomorrow().unwrap();
            expected += 1;
        }
    }

    #[test]
    fn ident_only_the_written_form_of_a_time_or_number_is_read() {
        assert_eq!(
            read_time("2026-11-25T06:15:00Z").map(|t| t.to_string()).as_deref(),
            Some("2026-11-25T06:15:00Z")
        );
        for bad in [
            "2026-11-25T06:15:00.5Z",
            "2026-11-25 06:15:00Z",
            "2026-02-30T00:00:00Z",
            "2026-11-25T24:00:00Z",
            "",
        ] {
            assert_eq!(read_time(bad), None, "{bad}");
        }
        assert_eq!(read_decimal("358.15"), Some(358.15));
        for bad in ["358.150", "3.5815e2", "+1", "-0", "nan", "inf", ""] {
            assert_eq!(read_decimal(bad), None, "{bad}");
        }
    }

    fn words() -> impl Strategy<Value = Option<String>> {
        proptest::option::of("\\PC{0,12}|[\\x00-\\x1f\"\\\\/é€😀]{0,6}")
    }

    prop_compose! {
        fn values()(name in "[a-z_]{1,12}", text in words(), unit in words(), why in words(),
                    si in proptest::option::of(proptest::num::f64::NORMAL | proptest::num::f64::ZERO), q in 1_i64..=9) -> Value {
            // Minus zero is written as zero and comes back as that.
            let si = si.map(|si| if si == 0.0 { 0.0 } else { si });
            Value { name, text, unit, si, quality: Quality::from_code(q).unwrap(), why }
        }
    }

    prop_compose! {
        fn entries()(seq in 1_u64..1 << 53, kind in 1_i64..=21, source in 1_i64..=5, role in proptest::option::of(1_i64..=6),
                     at in 0_i64..4_000_000_000, late in 0_i64..100_000, zone in -840..=840, actor in "\\PC{1,8}",
                     text in words(), reason in words(), token in words(), clock in words(),
                     corrects in proptest::option::of(1_u64..1 << 53), regards in proptest::option::of(1_u64..1 << 53),
                     values in proptest::collection::vec(values(), 0..4),
                     details in proptest::collection::btree_map("\\PC{1,6}", "\\PC{0,6}", 0..4), prev: [u8; 32]) -> Entry {
            Entry {
                seq, kind: Kind::from_code(kind).unwrap(), at: from_second(at), logged: from_second(at + late),
                zone: Zone::from_minutes(zone).unwrap(), node: "A1".to_owned(),
                author: Author { actor, role: role.and_then(Role::from_code), source: Source::from_code(source).unwrap() },
                values, text, details, corrects, regards, reason, token, clock, prev: Hash(prev), hash: Hash::NONE,
            }
        }
    }

    proptest! {
        #[test]
        fn ident_entry_text_is_canonical_and_reads_back(entry in entries()) {
            let text = text_of(&entry);
            let general: serde_json::Value = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(canonical_json(&general), text.clone());
            prop_assert_eq!(read_entry(&text, Hash::NONE).unwrap(), entry);
        }
    }
}
