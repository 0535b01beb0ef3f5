//! The closed vocabularies of an entry: kind, source, role, quality, each with its written word and stored code.

/// Defines an enum whose variants have a word (in the canonical text) and a code (in the tables).
macro_rules! words {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal, $code:literal;)+ }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$doc])* $variant,)+ }

        impl $name {
            /// Every member, in the order of their codes.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// The word that stands in the canonical text.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// The member written as `word`, if there is one.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }

            /// The small number kept in the tables; it never changes once given.
            pub fn code(self) -> i64 {
                match self { $(Self::$variant => $code,)+ }
            }

            /// The member with this code, if there is one.
            pub fn from_code(code: i64) -> Option<Self> {
                match code { $($code => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

words! {
    /// What an entry is about.
    Kind {
        /// Figures read at one moment: a watch, a round, a file's row, an instrument.
        Reading = "reading", 1;
        /// New figures (or words) for an earlier entry, with the reason; the old ones stay readable.
        Correction = "correction", 2;
        /// An earlier entry no longer counts (wrong ship, wrong test), with the reason.
        Withdrawal = "withdrawal", 3;
        /// Something that happened: start, stop, clean, dose, tank state.
        Event = "event", 4;
        /// One step of a procedure, done or passed over.
        Step = "procedure step", 5;
        /// A water sample taken aboard.
        Sample = "sample", 6;
        /// A laboratory's answer.
        Laboratory = "laboratory sheet", 7;
        /// An order given.
        Order = "order", 8;
        /// Free words.
        Note = "note", 9;
        /// Words on an entry that only its own signer may correct.
        Remark = "remark", 10;
        /// A signature: watch, day, hand-over.
        SignOff = "sign-off", 11;
        /// The ship's clocks were moved, or a doubtful computer clock was confirmed.
        Clock = "clock change", 12;
        /// An account was made, changed or closed.
        User = "user change", 13;
        /// A setting was changed: old and new.
        Setting = "settings change", 14;
        /// Logins refused, counted by the hour.
        LoginRefused = "login refused", 15;
        /// A file was taken into the record.
        Import = "import", 16;
        /// The record was written out.
        Export = "export", 17;
        /// A copy was made and proved.
        Backup = "backup", 18;
        /// The record was replaced by a copy.
        Restore = "restore", 19;
        /// The day's seal.
        Seal = "seal", 20;
        /// A guard was passed by name and reason.
        Override = "override", 21;
    }
}

impl Kind {
    /// Whether its figures were so at its time and stand in the series of their quantities: a round, a dose, a sample.
    pub fn holds_figures(self) -> bool {
        matches!(self, Self::Reading | Self::Event | Self::Sample | Self::Laboratory)
    }
}

words! {
    /// Where an entry comes from.
    Source {
        /// Read and typed by a person.
        Hand = "hand", 1;
        /// A file somebody imported.
        File = "file", 2;
        /// An instrument.
        Instrument = "instrument", 3;
        /// The simulated plant; never part of a real ship's record.
        Simulated = "simulated", 4;
        /// This program itself.
        Program = "program", 5;
    }
}

words! {
    /// What the writer was allowed to do when writing.
    Role {
        /// Watch-keeper.
        WatchKeeper = "watch-keeper", 1;
        /// Engineer in charge of the plant.
        InCharge = "engineer in charge", 2;
        /// Chief engineer.
        Chief = "chief", 3;
        /// Master.
        Master = "master", 4;
        /// Inspector.
        Inspector = "inspector", 5;
        /// Cadet.
        Cadet = "cadet", 6;
    }
}

words! {
    /// How far a value may be trusted. Only [`Quality::Ok`] feeds conclusions; all are stored.
    Quality {
        /// Nothing against it.
        Ok = "ok", 1;
        /// Kept in spite of a warning; the reason says why.
        Doubtful = "doubtful", 2;
        /// No figure was taken; the reason says why (weather).
        NotTaken = "not taken", 3;
        /// Older than three of its periods.
        Stale = "stale", 4;
        /// Outside what the instrument or the plant can show.
        OutOfRange = "out of range", 5;
        /// Unchanged to its last digit while related ones moved.
        Stuck = "stuck", 6;
        /// One sample far outside its neighbours.
        Spike = "spike", 7;
        /// The sender itself says so.
        NotValid = "not valid", 8;
        /// From the simulated plant.
        Simulated = "simulated", 9;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_words_and_codes_return_their_member() {
        for &kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
            assert_eq!(Kind::from_code(kind.code()), Some(kind));
        }
        for &quality in Quality::ALL {
            assert_eq!(Quality::from_word(quality.word()), Some(quality));
            assert_eq!(Quality::from_code(quality.code()), Some(quality));
        }
        for &source in Source::ALL {
            assert_eq!(Source::from_code(source.code()), Source::from_word(source.word()));
        }
        for &role in Role::ALL {
            assert_eq!(Role::from_code(role.code()), Role::from_word(role.word()));
        }
        assert_eq!(Kind::from_word("readings"), None);
        assert_eq!(Quality::from_code(0), None);
    }
}
