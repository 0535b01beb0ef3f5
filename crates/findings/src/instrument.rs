//! The instruments: what each reads, how far it can be trusted, when it counts as wrong, what a check with it takes.

use crate::prior::INSTRUMENT_ODDS;
use crate::quantity::Quantity;

/// How a figure on the instrument is brought to the scale in which it errs evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// As it is read.
    Plain,
    /// Times a factor: bar to mbar.
    Times(f64),
    /// Its logarithm: the error is a share.
    Ln,
    /// Area hyperbolic sine of the figure over this many of its unit: a share for large figures, an amount for small ones.
    Asinh(f64),
}

/// One line of the instrument table.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The instrument.
    pub instrument: Instrument,
    /// What it reads.
    pub quantity: Quantity,
    /// Its scale.
    pub scale: Scale,
    /// Error that stays, one standard deviation in the scale.
    pub standing: f64,
    /// Error of each reading, one standard deviation in the scale, wander included.
    pub each: f64,
    /// Steps of its scale, in the unit it is read in; nought where it is read closely.
    pub step: f64,
    /// Off by more than this it counts as wrong, in the scale.
    pub limit: f64,
    /// How likely it is wrong before anything is read.
    pub odds: f64,
    /// Lowest and highest figure that is taken, in the unit of the name.
    pub range: (f64, f64),
    /// Minutes of work for one reading that is not routine.
    pub minutes: f64,
    /// Why these figures.
    pub reason: &'static str,
}

macro_rules! instruments {
    ($($name:ident $key:literal $words:literal $unit:literal,)*) => {
        /// An instrument whose reading the model foretells.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(usize)]
        pub enum Instrument {
            $(#[doc = $words] $name,)*
        }

        impl Instrument {
            /// Every instrument, in the order of the table.
            pub const ALL: &'static [Instrument] = &[$(Instrument::$name),*];

            /// Name of its reading in files, unit included.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Instrument::$name => $key,)* }
            }

            /// As it is said in a sentence.
            #[must_use]
            pub fn words(self) -> &'static str {
                match self { $(Instrument::$name => $words,)* }
            }

            /// Unit in which its error is told.
            #[must_use]
            pub fn error_unit(self) -> &'static str {
                match self { $(Instrument::$name => $unit,)* }
            }
        }
    };
}

instruments! {
    JacketIn "jacket_in_c" "jacket water in" "K",
    SeaTemp "sea_temp_c" "sea water in" "K",
    JacketOut "jacket_out_c" "jacket water out" "K",
    SeaOut "sea_out_c" "sea water out" "K",
    VapourTemp "vapour_temp_c" "the vapour temperature" "K",
    ShellGauge "shell_gauge_bar_g" "the shell's vacuum gauge" "mbar",
    Product "product_t_day" "the distillate meter" "share",
    ProductSalt "product_salt_mg_kg" "the salinometer" "ln",
    EjectorPressure "ejector_pressure_bar_g" "the ejector pump's pressure" "bar",
    BrineTemp "brine_temp_c" "the brine temperature" "K",
    BrineSalinity "brine_salinity_g_kg" "the brine's strength" "g_kg",
    VentTemp "vent_temp_c" "the vent pipe's temperature" "K",
    JacketMeter "jacket_flow_kg_s" "the jacket flow by clamp-on meter" "share",
    SeaMeter "condenser_flow_kg_s" "the condenser's flow by clamp-on meter" "share",
    LeakDown "leak_down_kg_h" "the leak-down test" "share",
    SecondJacketIn "second_jacket_in_c" "jacket water in by a second thermometer" "K",
    SecondJacketOut "second_jacket_out_c" "jacket water out by a second thermometer" "K",
    SecondSeaTemp "second_sea_temp_c" "sea water in by a second thermometer" "K",
    SecondSeaOut "second_sea_out_c" "sea water out by a second thermometer" "K",
    SecondVapour "second_vapour_temp_c" "the vapour by a second thermometer" "K",
    ShellAbsolute "shell_absolute_mbar" "the shell by an absolute gauge" "mbar",
    ProductDip "product_dip_t_day" "the output by dipping the tank" "share",
    FeedMeter "feed_flow_kg_s" "the feed meter" "share",
    SecondSalt "second_product_salt_mg_kg" "the salinity by a second instrument or a titration" "ln",
    BackPressure "back_pressure_bar_g" "the gauge behind the ejector" "bar",
}

/// What the barometer leaves open when it was not noted, in each reading of the shell gauge, mbar (spread of the pressure at sea).
pub(crate) const BAROMETER_EACH_MBAR: f64 = 7.0;

const fn line(
    instrument: Instrument,
    quantity: Quantity,
    (standing, each, step): (f64, f64, f64),
    limit: f64,
    range: (f64, f64),
    minutes: f64,
    reason: &'static str,
) -> Line {
    Line {
        instrument,
        quantity,
        scale: Scale::Plain,
        standing,
        each,
        step,
        limit,
        odds: INSTRUMENT_ODDS,
        range,
        minutes,
        reason,
    }
}

const WATER: (f64, f64) = (-5.0, 130.0);
const SECOND: &str =
    "a good thermometer held in the same pocket: worth the walk when one is doubted";

/// The usual instrument table; a ship edits it.
#[must_use]
pub fn usual() -> Vec<Line> {
    use Instrument as I;
    use Quantity as Q;
    vec![
        line(
            I::JacketIn,
            Q::JacketIn,
            (0.7, 0.4, 0.5),
            3.0,
            WATER,
            2.0,
            "glass or dial in a pocket",
        ),
        line(
            I::SeaTemp,
            Q::SeaTemp,
            (0.5, 0.3, 0.5),
            3.0,
            (-5.0, 60.0),
            2.0,
            "glass or dial in a pocket, often read",
        ),
        line(
            I::JacketOut,
            Q::JacketOut,
            (0.7, 0.4, 0.5),
            3.0,
            WATER,
            2.0,
            "glass or dial in a pocket; 10 K under the inlet, so a flow worked out from them is 10 % wide",
        ),
        line(I::SeaOut, Q::SeaOut, (0.7, 0.4, 0.5), 3.0, WATER, 2.0, "glass or dial in a pocket"),
        line(
            I::VapourTemp,
            Q::Vapour,
            (0.7, 0.4, 0.5),
            3.0,
            WATER,
            2.0,
            "the best vacuum reading aboard",
        ),
        // Without the 7 mbar of an unnoted barometer, which are added where it was not noted.
        Line {
            scale: Scale::Times(1000.0),
            ..line(
                I::ShellGauge,
                Q::Shell,
                (10.0, 5.66, 0.010),
                40.0,
                (-1.1, 0.5),
                1.0,
                "class 1.6 bourdon tube on −1 to 0 bar; 10 mbar is 2 K of boiling point, so it checks the thermometer and little more",
            )
        },
        Line {
            scale: Scale::Ln,
            ..line(
                I::Product,
                Q::Product,
                (0.025, 0.015, 0.0),
                0.10,
                (0.0, 1000.0),
                5.0,
                "the watch's total, not the needle",
            )
        },
        Line {
            scale: Scale::Asinh(2.0),
            ..line(
                I::ProductSalt,
                Q::Salt,
                (0.12, 0.15, 0.1),
                0.5,
                (0.0, 20_000.0),
                1.0,
                "cell and temperature compensation; 0.3 ppm at the low end",
            )
        },
        line(
            I::EjectorPressure,
            Q::Motive,
            (0.06, 0.05, 0.05),
            0.4,
            (-1.0, 25.0),
            1.0,
            "before the nozzle: says nothing of its wear",
        ),
        line(
            I::BrineTemp,
            Q::BrineTemp,
            (0.7, 0.4, 0.5),
            3.0,
            WATER,
            5.0,
            "pocket in the brine line",
        ),
        line(
            I::BrineSalinity,
            Q::BrineSalinity,
            (1.5, 2.5, 0.0),
            8.0,
            (0.0, 300.0),
            15.0,
            "hydrometer on a sample from the vacuum pot: the only sight of the feed",
        ),
        line(
            I::VentTemp,
            Q::Vent,
            (0.7, 0.5, 0.5),
            4.5,
            WATER,
            2.0,
            "contact thermometer on the vent pipe: parts fouling from air",
        ),
        Line {
            scale: Scale::Ln,
            ..line(
                I::JacketMeter,
                Q::JacketFlow,
                (0.03, 0.02, 0.0),
                0.15,
                (0.01, 1000.0),
                20.0,
                "clamp-on ultrasonic on a straight run",
            )
        },
        Line {
            scale: Scale::Ln,
            ..line(
                I::SeaMeter,
                Q::SeaFlow,
                (0.04, 0.02, 0.0),
                0.15,
                (0.01, 2000.0),
                20.0,
                "clamp-on ultrasonic on a straight run",
            )
        },
        Line {
            scale: Scale::Ln,
            ..line(
                I::LeakDown,
                Q::AirLeak,
                (0.15, 0.10, 0.0),
                0.7,
                (0.001, 1000.0),
                90.0,
                "pressure rise of the cold, drained shell; its volume from the sheet",
            )
        },
        line(I::SecondJacketIn, Q::JacketIn, (0.2, 0.2, 0.1), 1.5, WATER, 8.0, SECOND),
        line(I::SecondJacketOut, Q::JacketOut, (0.2, 0.2, 0.1), 1.5, WATER, 8.0, SECOND),
        line(I::SecondSeaTemp, Q::SeaTemp, (0.2, 0.2, 0.1), 1.5, (-5.0, 60.0), 8.0, SECOND),
        line(I::SecondSeaOut, Q::SeaOut, (0.2, 0.2, 0.1), 1.5, WATER, 8.0, SECOND),
        line(I::SecondVapour, Q::Vapour, (0.2, 0.2, 0.1), 1.5, WATER, 8.0, SECOND),
        line(
            I::ShellAbsolute,
            Q::Shell,
            (1.5, 1.0, 0.0),
            8.0,
            (0.0, 1200.0),
            15.0,
            "absolute gauge on a spare cock: free of the barometer",
        ),
        Line {
            scale: Scale::Ln,
            ..line(
                I::ProductDip,
                Q::Product,
                (0.01, 0.005, 0.0),
                0.05,
                (0.01, 1000.0),
                240.0,
                "tank dipped before and after some hours at anchor or in a calm",
            )
        },
        Line {
            scale: Scale::Ln,
            ..line(
                I::FeedMeter,
                Q::FeedFlow,
                (0.03, 0.02, 0.0),
                0.15,
                (0.01, 1000.0),
                2.0,
                "a meter of the feed line where the plant has one: with it low feed is seen",
            )
        },
        Line {
            scale: Scale::Asinh(2.0),
            ..line(
                I::SecondSalt,
                Q::Salt,
                (0.08, 0.05, 0.1),
                0.5,
                (0.0, 20_000.0),
                5.0,
                "a hand meter or a titration of a sample: parts the cell from the plant",
            )
        },
        line(
            I::BackPressure,
            Q::Back,
            (0.03, 0.03, 0.02),
            0.15,
            (-1.0, 10.0),
            1.0,
            "in the overboard line behind the ejector, where the plant has one",
        ),
    ]
}

impl Line {
    /// A figure as read, in the scale of the table.
    #[must_use]
    pub fn scaled(&self, figure: f64) -> f64 {
        match self.scale {
            Scale::Plain => figure,
            Scale::Times(by) => figure * by,
            Scale::Ln => figure.max(1.0e-6).ln(),
            Scale::Asinh(unit) => (figure.max(0.0) / unit).asinh(),
        }
    }

    /// What the instrument shows of a quantity (`Quantity`'s scale) when it is off by `error`, and the slope of that.
    ///
    /// Differs from `quantity + error` only for salt.
    #[must_use]
    pub fn shows(&self, quantity: f64, error: f64) -> (f64, f64) {
        match self.scale {
            Scale::Asinh(unit) => {
                let over = (quantity + error).exp() / unit;
                (over.asinh(), over / (over * over + 1.0).sqrt())
            }
            _ => (quantity + error, 1.0),
        }
    }

    /// A value of the scale as the figure that would be read.
    #[must_use]
    pub fn unscaled(&self, value: f64) -> f64 {
        match self.scale {
            Scale::Plain => value,
            Scale::Times(by) => value / by,
            Scale::Ln => value.exp(),
            Scale::Asinh(unit) => unit * value.sinh(),
        }
    }

    /// Variance of one reading in the scale: its scatter, and the steps it is read in.
    #[must_use]
    pub fn each_variance(&self, figure: f64) -> f64 {
        let step = match self.scale {
            Scale::Plain => self.step,
            Scale::Times(by) => self.step * by,
            Scale::Ln => self.step / figure.max(1.0e-6),
            Scale::Asinh(unit) => self.step / (figure * figure + unit * unit).sqrt(),
        };
        self.each * self.each + step * step / 12.0
    }

    /// Whether it reads an input of the plant: jacket water or sea water in.
    #[must_use]
    pub fn is_input(&self) -> bool {
        matches!(self.instrument, Instrument::JacketIn | Instrument::SeaTemp)
    }
}
