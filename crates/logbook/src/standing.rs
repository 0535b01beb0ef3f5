//! Which entries still stand after corrections and withdrawals.

use std::collections::BTreeMap;

use crate::words::Kind;

/// Whether an entry, or a value of it, still counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It counts.
    Stands,
    /// A later entry gives it another value.
    Corrected {
        /// The newest correction that stands.
        by: u64,
    },
    /// A later entry took it out.
    Withdrawn {
        /// The withdrawal.
        by: u64,
    },
}

/// One entry of a family: the first and everything that corrects or withdraws it, or one of its corrections.
#[derive(Clone, Debug)]
pub(crate) struct Relative {
    pub(crate) seq: u64,
    pub(crate) kind: Kind,
    pub(crate) corrects: Option<u64>,
    /// Names of its values.
    pub(crate) names: Vec<String>,
}

/// The withdrawn entries of a family and by what. Withdrawing the first entry withdraws its corrections with it;
/// withdrawing a withdrawal brings back what it took out.
pub(crate) fn withdrawn(family: &[Relative]) -> BTreeMap<u64, u64> {
    let mut out = BTreeMap::new();
    // Newest first: whether a withdrawal itself stands is known before it is applied.
    for relative in family.iter().rev() {
        if let (Kind::Withdrawal, Some(target)) = (relative.kind, relative.corrects)
            && !out.contains_key(&relative.seq)
        {
            out.insert(target, relative.seq);
        }
    }
    if let Some(first) = family.first()
        && let Some(&by) = out.get(&first.seq)
    {
        for relative in family.iter().filter(|relative| relative.kind == Kind::Correction) {
            out.entry(relative.seq).or_insert(by);
        }
    }
    out
}

/// For every value of a family, in order of entries: does it stand? The newest one of each name that is not
/// withdrawn does.
pub(crate) fn value_standings(family: &[Relative]) -> Vec<(u64, &str, Standing)> {
    let withdrawn = withdrawn(family);
    let mut newest: BTreeMap<&str, u64> = BTreeMap::new();
    for relative in family.iter().filter(|relative| !withdrawn.contains_key(&relative.seq)) {
        for name in &relative.names {
            newest.insert(name, relative.seq);
        }
    }
    let mut out = Vec::new();
    for relative in family {
        for name in &relative.names {
            let standing = match (withdrawn.get(&relative.seq), newest.get(name.as_str())) {
                (Some(&by), _) => Standing::Withdrawn { by },
                (None, Some(&by)) if by != relative.seq => Standing::Corrected { by },
                _ => Standing::Stands,
            };
            out.push((relative.seq, name.as_str(), standing));
        }
    }
    out
}

impl Standing {
    /// The number in the readings table.
    pub(crate) fn code(self) -> i64 {
        match self {
            Self::Stands => 0,
            Self::Corrected { .. } => 1,
            Self::Withdrawn { .. } => 2,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relative(seq: u64, kind: Kind, corrects: u64, names: &[&str]) -> Relative {
        let names = names.iter().map(|&name| name.to_owned()).collect();
        Relative { seq, kind, corrects: (corrects > 0).then_some(corrects), names }
    }

    fn stands(family: &[Relative]) -> Vec<(u64, &str)> {
        value_standings(family)
            .into_iter()
            .filter(|&(_, _, standing)| standing == Standing::Stands)
            .map(|(seq, name, _)| (seq, name))
            .collect()
    }

    #[test]
    fn ident_newest_value_of_each_name_stands() {
        let mut family = vec![
            relative(1, Kind::Reading, 0, &["a", "b"]),
            relative(5, Kind::Correction, 1, &["a"]),
        ];
        assert_eq!(stands(&family), [(1, "b"), (5, "a")]);
        family.push(relative(7, Kind::Correction, 5, &["a"]));
        assert_eq!(stands(&family), [(1, "b"), (7, "a")]);
        family.push(relative(9, Kind::Withdrawal, 7, &[]));
        assert_eq!(stands(&family), [(1, "b"), (5, "a")]);
        family.push(relative(11, Kind::Withdrawal, 9, &[]));
        assert_eq!(stands(&family), [(1, "b"), (7, "a")]);
        family.push(relative(12, Kind::Withdrawal, 1, &[]));
        assert_eq!(stands(&family), []);
    }
}
