//! The units a figure may be written in: stable code, symbol, spellings, dimension and the way to SI.

use crate::Pressure;
use crate::pressure::{MMHG_PA, PSI_PA};
use crate::show::Precision;
use std::fmt;
use std::str::FromStr;

/// What a figure measures. Units of one kind convert into each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Absolute temperature; SI: K.
    Temperature,
    /// Difference of temperatures; SI: K.
    TemperatureDifference,
    /// Pressure, SI: Pa absolute. Gauge and vacuum units need the barometer to get there.
    Pressure,
    /// Mass flow; SI: kg/s.
    MassFlow,
    /// Volume flow; SI: m³/s.
    VolumeFlow,
    /// Mass; SI: kg.
    Mass,
    /// Volume; SI: m³.
    Volume,
    /// Salt in sea water or distillate by mass; SI: kg/kg.
    MassFraction,
    /// Salt a salinometer would read if all of it were NaCl; SI: kg/kg.
    NaclEquivalent,
    /// Electrolytic conductivity; SI: S/m.
    Conductivity,
    /// A share of a whole; SI: 1.
    Fraction,
    /// Power, heat flow; SI: W.
    Power,
    /// Energy; SI: J.
    Energy,
    /// Length, sounding; SI: m.
    Length,
    /// Area; SI: m².
    Area,
    /// Fouling resistance; SI: m²K/W.
    FoulingResistance,
    /// Heat-transfer coefficient; SI: W/(m²K).
    HeatTransfer,
    /// Mass of a substance in a volume of water; SI: kg/m³.
    Concentration,
    /// Speed of rotation; SI: 1/s (revolutions).
    Rotation,
    /// Electric current; SI: A.
    Current,
    /// Acidity on the pH scale; SI: 1.
    Acidity,
    /// A plain number; SI: 1.
    Number,
    /// A word, not a number.
    Word,
}

/// How a written value becomes SI.
#[derive(Clone, Copy)]
enum Scale {
    /// value × numerator / denominator.
    Ratio(f64, f64),
    /// value + offset.
    Offset(f64),
    /// (value + offset) × numerator / denominator.
    Shifted(f64, f64, f64),
    /// Above the barometer: value × factor + atmosphere.
    Gauge(f64),
    /// Below the barometer: atmosphere − value × factor.
    Below(f64),
    /// Per cent below the barometer: atmosphere (1 − value/100).
    PercentBelow,
    /// Not a number.
    Word,
}

macro_rules! units {
    ($( $(#[$meta:meta])* $name:ident $code:literal $symbol:literal $kind:ident $scale:expr, $precision:expr, [$($spelling:literal),*] );+ $(;)?) => {
        /// A unit as used in fields, files and the log.
        ///
        /// The [code](Unit::code) is stable and appears in records; the [symbol](Unit::symbol) is what people see.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Unit { $( $(#[$meta])* $name ),+ }

        impl Unit {
            /// All units, in the order of their kinds.
            pub const ALL: &'static [Unit] = &[ $( Unit::$name ),+ ];

            /// The stable code used in the log and in files.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $( Unit::$name => $code ),+ }
            }

            /// The symbol as shown; empty for plain numbers and words.
            #[must_use]
            pub const fn symbol(self) -> &'static str {
                match self { $( Unit::$name => $symbol ),+ }
            }

            /// What the unit measures.
            #[must_use]
            pub const fn kind(self) -> Kind {
                match self { $( Unit::$name => Kind::$kind ),+ }
            }

            /// The digits worth showing, after the resolution of the instruments that read in this unit.
            #[must_use]
            pub const fn precision(self) -> Precision {
                match self { $( Unit::$name => $precision ),+ }
            }

            /// Other spellings accepted when reading, beside code and symbol; capitals and spaces do not matter.
            #[must_use]
            pub const fn spellings(self) -> &'static [&'static str] {
                match self { $( Unit::$name => &[ $($spelling),* ] ),+ }
            }

            const fn scale(self) -> Scale {
                match self { $( Unit::$name => $scale ),+ }
            }
        }
    };
}

use Precision::{Decimals, Significant};
use Scale::{Below, Gauge, Offset, PercentBelow, Ratio, Shifted, Word};

units! {
    /// Degree Celsius, a temperature.
    DegC "degC" "°C" Temperature Offset(273.15), Decimals(1), ["c", "℃", "ºc", "celsius", "deg c", "degree c", "degrees c"];
    /// Kelvin, a temperature.
    K "K" "K" Temperature Ratio(1.0, 1.0), Decimals(1), ["kelvin"];
    /// Degree Fahrenheit, a temperature: exactly K × 9/5 − 459.67 (NIST SP 811, appendix B).
    DegF "degF" "°F" Temperature Shifted(459.67, 5.0, 9.0), Decimals(1), ["f", "fahrenheit", "deg f", "degrees f"];
    /// Kelvin, a difference of temperatures.
    KDiff "K_diff" "K" TemperatureDifference Ratio(1.0, 1.0), Decimals(1), ["°c", "c", "℃", "degc", "delta k", "Δk"];
    /// Bar above the day's atmosphere.
    BarG "bar_g" "bar g" Pressure Gauge(1e5), Decimals(2), ["bar", "barg", "bar(g)", "bar gauge"];
    /// Pounds-force a square inch above the day's atmosphere.
    PsiG "psi_g" "psi g" Pressure Gauge(PSI_PA), Decimals(1), ["psi", "psig", "psi(g)", "psi gauge", "lb/in2"];
    /// Pounds-force a square inch absolute.
    PsiA "psi_a" "psi abs" Pressure Ratio(PSI_PA, 1.0), Decimals(2), ["psi", "psia", "psi(a)", "psi absolute"];
    /// Bar absolute.
    BarA "bar_a" "bar abs" Pressure Ratio(1e5, 1.0), Decimals(3), ["bar", "bara", "bar(a)", "bar absolute", "bar a"];
    /// Millibar absolute.
    MbarA "mbar_a" "mbar abs" Pressure Ratio(100.0, 1.0), Decimals(1), ["mbar", "mbara", "mbar(a)", "mbar a", "mbar absolute"];
    /// Kilopascal absolute.
    KPaA "kPa_a" "kPa abs" Pressure Ratio(1e3, 1.0), Decimals(2), ["kpa", "kpaa", "kpa(a)", "kpa a", "kpa absolute"];
    /// Pascal absolute.
    Pa "Pa" "Pa" Pressure Ratio(1.0, 1.0), Decimals(0), ["pa a", "pa abs", "pascal"];
    /// Hectopascal absolute, as the barometer reads.
    HPa "hPa" "hPa" Pressure Ratio(100.0, 1.0), Decimals(1), ["mb", "millibar", "hectopascal"];
    /// Per cent of the day's atmosphere taken away: 100 is nothing left.
    PercentVac "percent_vac" "% vac" Pressure PercentBelow, Decimals(1), ["%", "% vacuum", "percent", "percent vac", "percent vacuum", "per cent vacuum", "vac", "vacuum"];
    /// Centimetres of mercury below the day's atmosphere.
    CmHgVac "cmHg_vac" "cmHg vac" Pressure Below(10.0 * MMHG_PA), Decimals(1), ["cmhg", "cm hg", "cmhg vacuum"];
    /// Millimetres of mercury below the day's atmosphere.
    MmHgVac "mmHg_vac" "mmHg vac" Pressure Below(MMHG_PA), Decimals(0), ["mmhg", "mm hg", "mmhg vacuum", "torr vac"];
    /// Inches of mercury below the day's atmosphere.
    InHgVac "inHg_vac" "inHg vac" Pressure Below(25.4 * MMHG_PA), Decimals(2), ["inhg", "in hg", "\"hg", "inhg vacuum"];
    /// Millimetres of mercury absolute, as a barometer reads.
    MmHgA "mmHg_a" "mmHg abs" Pressure Ratio(MMHG_PA, 1.0), Decimals(0), ["mmhg", "mm hg", "mmhga", "mmhg absolute", "torr"];
    /// Inches of mercury absolute, as a barometer reads.
    InHgA "inHg_a" "inHg abs" Pressure Ratio(25.4 * MMHG_PA, 1.0), Decimals(2), ["inhg", "in hg", "\"hg", "inhga", "inhg absolute"];
    /// Megapascals above the day's atmosphere.
    MPaG "MPa_g" "MPa g" Pressure Gauge(1e6), Decimals(3), ["mpa", "mpag", "mpa(g)", "mpa gauge"];
    /// Kilograms-force a square centimetre above the day's atmosphere: exactly 98 066.5 Pa (NIST SP 811, appendix B).
    KgCm2G "kg_cm2_g" "kg/cm² g" Pressure Gauge(98_066.5), Decimals(2), ["kg/cm2", "kg/cm²", "kgf/cm2", "kgf/cm²", "kg/cm2g", "kg/cm2 gauge"];
    /// Tonnes a day.
    TDay "t_day" "t/day" MassFlow Ratio(1000.0, 86_400.0), Decimals(1), ["t/d", "tpd", "ton/day", "tons/day", "tonnes/day", "t/24h", "mt/day"];
    /// Kilograms a second.
    KgS "kg_s" "kg/s" MassFlow Ratio(1.0, 1.0), Decimals(2), ["kgs-1"];
    /// Kilograms an hour.
    KgH "kg_h" "kg/h" MassFlow Ratio(1.0, 3600.0), Decimals(1), ["kg/hr", "kg/hour"];
    /// Tonnes an hour.
    TH "t_h" "t/h" MassFlow Ratio(1000.0, 3600.0), Decimals(2), ["t/hr", "tph", "tons/h"];
    /// Cubic metres an hour.
    M3H "m3_h" "m³/h" VolumeFlow Ratio(1.0, 3600.0), Decimals(1), ["m3/h", "m3/hr", "cbm/h", "m^3/h"];
    /// Cubic metres a second.
    M3S "m3_s" "m³/s" VolumeFlow Ratio(1.0, 1.0), Decimals(3), ["m3/s", "m^3/s"];
    /// Cubic metres a day.
    M3Day "m3_day" "m³/day" VolumeFlow Ratio(1.0, 86_400.0), Decimals(1), ["m3/day", "m3/d", "m³/d", "cbm/day", "m3/24h", "m^3/day"];
    /// Litres an hour.
    LH "L_h" "L/h" VolumeFlow Ratio(1e-3, 3600.0), Decimals(1), ["l/hr", "l/hour", "lph", "litre/h", "litres/h", "liters/h"];
    /// Litres a minute.
    LMin "L_min" "L/min" VolumeFlow Ratio(1e-3, 60.0), Decimals(1), ["lpm", "litre/min", "litres/min", "liters/min"];
    /// Litres a day.
    LDay "L_day" "L/day" VolumeFlow Ratio(1e-3, 86_400.0), Decimals(1), ["l/d", "litre/day", "litres/day", "liters/day"];
    /// Tonnes.
    T "t" "t" Mass Ratio(1000.0, 1.0), Decimals(1), ["ton", "tons", "tonne", "tonnes", "mt"];
    /// Kilograms.
    Kg "kg" "kg" Mass Ratio(1.0, 1.0), Decimals(1), ["kilo", "kilogram", "kilograms"];
    /// Cubic metres.
    M3 "m3" "m³" Volume Ratio(1.0, 1.0), Decimals(1), ["cbm", "m^3", "cubic metre", "cubic metres"];
    /// Grams of salt in a kilogram of sea water.
    GKg "g_kg" "g/kg" MassFraction Ratio(1.0, 1e3), Decimals(2), ["‰", "permille", "per mille", "ppt"];
    /// Milligrams of salt in a kilogram of water, parts per million by mass.
    MgKg "mg_kg" "ppm" MassFraction Ratio(1.0, 1e6), Decimals(1), ["mg/kg", "mg/l"];
    /// Parts per million by mass a salinometer shows, all salt counted as NaCl.
    PpmNacl "ppm_nacl" "ppm NaCl" NaclEquivalent Ratio(1.0, 1e6), Decimals(1), ["ppm", "mg/kg", "mg/kg nacl"];
    /// Microsiemens a centimetre.
    USCm "uS_cm" "µS/cm" Conductivity Ratio(1.0, 1e4), Significant(3), ["us/cm", "μs/cm", "micros/cm", "micromho/cm"];
    /// Per cent.
    Percent "percent" "%" Fraction Ratio(1.0, 100.0), Decimals(1), ["pct", "per cent"];
    /// A ratio, 1 being the whole.
    Fraction "fraction" "" Fraction Ratio(1.0, 1.0), Decimals(3), ["ratio"];
    /// Kilowatts.
    KW "kW" "kW" Power Ratio(1e3, 1.0), Decimals(0), ["kilowatt", "kilowatts"];
    /// Watts.
    W "W" "W" Power Ratio(1.0, 1.0), Significant(4), ["watt", "watts"];
    /// Kilowatt-hours.
    KWh "kWh" "kWh" Energy Ratio(3.6e6, 1.0), Decimals(0), ["kw h"];
    /// Centimetres.
    Cm "cm" "cm" Length Ratio(1.0, 100.0), Decimals(1), ["centimetre", "centimetres"];
    /// Metres.
    M "m" "m" Length Ratio(1.0, 1.0), Decimals(2), ["metre", "metres"];
    /// Square metres.
    M2 "m2" "m²" Area Ratio(1.0, 1.0), Decimals(2), ["m^2", "sqm", "square metre", "square metres"];
    /// Square metre kelvins a watt.
    M2KW "m2k_w" "m²K/W" FoulingResistance Ratio(1.0, 1.0), Significant(2), ["m2k/w", "m2 k/w", "m² k/w", "m²·k/w"];
    /// Watts a square metre and kelvin.
    WM2K "W_m2K" "W/m²K" HeatTransfer Ratio(1.0, 1.0), Significant(3), ["w/m2k", "w/(m2k)", "w/(m²k)", "w/(m² k)"];
    /// Milligrams in a litre.
    MgL "mg_L" "mg/L" Concentration Ratio(1.0, 1e3), Decimals(2), ["ppm", "g/m3"];
    /// Revolutions a minute.
    Rpm "rpm" "rpm" Rotation Ratio(1.0, 60.0), Decimals(0), ["r/min", "rev/min"];
    /// Amperes.
    A "A" "A" Current Ratio(1.0, 1.0), Decimals(1), ["amp", "amps", "ampere", "amperes"];
    /// The pH value.
    Ph "pH" "pH" Acidity Ratio(1.0, 1.0), Decimals(1), [];
    /// A plain number.
    One "one" "" Number Ratio(1.0, 1.0), Significant(4), [];
    /// A word.
    Word "word" "" Word Word, Decimals(0), ["text"];
}

impl Unit {
    /// Whether values of this unit below zero mean something: temperatures, differences, and gauges that count from the day's
    /// atmosphere. An absolute pressure of −0.9 bar is nothing.
    #[must_use]
    pub const fn has_sign(self) -> bool {
        match self.kind() {
            Kind::Pressure => matches!(self.scale(), Gauge(_)),
            _ => true,
        }
    }

    /// Of units that share a spelling, those that count as this one does: a gauge's from the atmosphere up, a vacuum's down, a
    /// barometer's from nothing. All of them where none does.
    pub(crate) fn alike(self, of: &mut Vec<Unit>) {
        let sort = |unit: Unit| match unit.scale() {
            Gauge(_) => 0,
            Below(_) | PercentBelow => 1,
            _ => 2,
        };
        if self.kind() == Kind::Pressure && of.iter().any(|unit| sort(*unit) == sort(self)) {
            of.retain(|unit| sort(*unit) == sort(self));
        }
    }

    /// Whether converting needs the barometer reading: true for gauge and vacuum units.
    #[must_use]
    pub const fn needs_barometer(self) -> bool {
        matches!(self.scale(), Gauge(_) | Below(_) | PercentBelow)
    }

    /// A written value in SI (Pa absolute for every pressure unit).
    ///
    /// # Errors
    /// [`ConversionError`]: no barometer where one is needed, a pressure below zero or a temperature below
    /// absolute zero, a value that is not finite, or a unit that is a word.
    pub fn to_si(self, value: f64, barometer: Option<Pressure>) -> Result<f64, ConversionError> {
        let atmosphere = || self.atmosphere(barometer);
        let si = match self.scale() {
            Ratio(numerator, denominator) => value * numerator / denominator,
            Offset(offset) => value + offset,
            Shifted(offset, numerator, denominator) => (value + offset) * numerator / denominator,
            Gauge(factor) => value * factor + atmosphere()?,
            Below(factor) => atmosphere()? - value * factor,
            PercentBelow => atmosphere()? * (1.0 - value / 100.0),
            Word => return Err(ConversionError::NotANumber { unit: self }),
        };
        if !si.is_finite() {
            return Err(ConversionError::NotFinite { unit: self });
        }
        match self.kind() {
            Kind::Pressure if si < 0.0 => {
                Err(ConversionError::BelowVacuum { value, unit: self, barometer })
            }
            Kind::Temperature if si < 0.0 => {
                Err(ConversionError::BelowAbsoluteZero { value, unit: self })
            }
            _ => Ok(si),
        }
    }

    /// An SI value as it would be written in this unit.
    ///
    /// # Errors
    /// [`ConversionError`]: no barometer where one is needed, a result that is not finite, or a unit that is
    /// a word.
    pub fn from_si(self, si: f64, barometer: Option<Pressure>) -> Result<f64, ConversionError> {
        let atmosphere = || self.atmosphere(barometer);
        let value = match self.scale() {
            Ratio(numerator, denominator) => si * denominator / numerator,
            Offset(offset) => si - offset,
            Shifted(offset, numerator, denominator) => si * denominator / numerator - offset,
            Gauge(factor) => (si - atmosphere()?) / factor,
            Below(factor) => (atmosphere()? - si) / factor,
            PercentBelow => (1.0 - si / atmosphere()?) * 100.0,
            Word => return Err(ConversionError::NotANumber { unit: self }),
        };
        if value.is_finite() { Ok(value) } else { Err(ConversionError::NotFinite { unit: self }) }
    }

    fn atmosphere(self, barometer: Option<Pressure>) -> Result<f64, ConversionError> {
        match barometer {
            Some(pressure) if pressure.pa() > 0.0 && pressure.pa().is_finite() => Ok(pressure.pa()),
            _ => Err(ConversionError::NeedsBarometer { unit: self }),
        }
    }

    /// The code, symbol or any accepted spelling, whatever its capitals and spaces.
    pub(crate) fn is_spelled(self, text: &str) -> bool {
        let wanted = folded(text);
        [self.code(), self.symbol()].iter().chain(self.spellings()).any(|s| folded(s) == wanted)
    }
}

/// Lower case without spaces of any width.
fn folded(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

impl Kind {
    /// Symbol of the SI unit values of this kind are kept in; empty where there is none.
    #[must_use]
    pub const fn si_symbol(self) -> &'static str {
        match self {
            Kind::Temperature | Kind::TemperatureDifference => "K",
            Kind::Pressure => "Pa",
            Kind::MassFlow => "kg/s",
            Kind::VolumeFlow => "m³/s",
            Kind::Mass => "kg",
            Kind::Volume => "m³",
            Kind::MassFraction | Kind::NaclEquivalent => "kg/kg",
            Kind::Conductivity => "S/m",
            Kind::Power => "W",
            Kind::Energy => "J",
            Kind::Length => "m",
            Kind::Area => "m²",
            Kind::FoulingResistance => "m²K/W",
            Kind::HeatTransfer => "W/m²K",
            Kind::Concentration => "kg/m³",
            Kind::Rotation => "1/s",
            Kind::Current => "A",
            Kind::Fraction | Kind::Acidity | Kind::Number | Kind::Word => "",
        }
    }

    /// The units of this kind.
    pub fn units(self) -> impl Iterator<Item = Unit> {
        Unit::ALL.iter().copied().filter(move |unit| unit.kind() == self)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match (self, self.symbol()) {
            (Unit::Word, _) => "a word",
            (Unit::Fraction, _) => "a ratio",
            (_, "") => "a plain number",
            (_, symbol) => symbol,
        })
    }
}

/// A code that no unit has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownUnit {
    /// What was read.
    pub read: String,
}

impl fmt::Display for UnknownUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "unknown unit code {:?}; known codes:", self.read)?;
        Unit::ALL.iter().try_for_each(|unit| write!(f, " {}", unit.code()))
    }
}

impl std::error::Error for UnknownUnit {}

impl FromStr for Unit {
    type Err = UnknownUnit;

    /// Reads the stable code, exactly.
    fn from_str(code: &str) -> Result<Self, UnknownUnit> {
        let found = Unit::ALL.iter().copied().find(|unit| unit.code() == code);
        found.ok_or_else(|| UnknownUnit { read: code.chars().take(40).collect() })
    }
}

impl serde::Serialize for Unit {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.code())
    }
}

impl<'de> serde::Deserialize<'de> for Unit {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let code = <std::borrow::Cow<'de, str>>::deserialize(deserializer)?;
        code.parse().map_err(serde::de::Error::custom)
    }
}

/// Why a value could not be turned into or out of SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConversionError {
    /// The unit counts from the day's atmosphere and no usable barometer reading was given.
    NeedsBarometer {
        /// The unit.
        unit: Unit,
    },
    /// More vacuum than there is atmosphere, or a negative absolute pressure.
    BelowVacuum {
        /// The value as written.
        value: f64,
        /// Its unit.
        unit: Unit,
        /// The barometer it was measured against.
        barometer: Option<Pressure>,
    },
    /// A temperature below −273.15 °C.
    BelowAbsoluteZero {
        /// The value as written.
        value: f64,
        /// Its unit.
        unit: Unit,
    },
    /// The unit is a word, not a number.
    NotANumber {
        /// The unit.
        unit: Unit,
    },
    /// The value or its conversion is not a finite number.
    NotFinite {
        /// The unit.
        unit: Unit,
    },
}

impl fmt::Display for ConversionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NeedsBarometer { unit } => {
                write!(
                    f,
                    "{unit} counts from the day's atmosphere: give the barometer reading (hPa)"
                )
            }
            Self::BelowVacuum { value, unit, barometer } => {
                write!(
                    f,
                    "{value} {unit} is less than nothing: pressure cannot fall below 0 Pa abs"
                )?;
                match barometer {
                    Some(barometer) if unit.needs_barometer() => {
                        write!(
                            f,
                            " (barometer {:.1} hPa); check value, unit and barometer",
                            barometer.hpa()
                        )
                    }
                    _ => write!(f, "; check value and unit"),
                }
            }
            Self::BelowAbsoluteZero { value, unit } => {
                write!(
                    f,
                    "{value} {unit} is below absolute zero (−273.15 °C); check value and unit"
                )
            }
            Self::NotANumber { unit } => write!(f, "{unit} has no value to convert"),
            Self::NotFinite { unit } => {
                write!(f, "the value in {unit} is not a finite number; write it with fewer digits")
            }
        }
    }
}

impl std::error::Error for ConversionError {}
