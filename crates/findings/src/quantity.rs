//! What the instruments look at: the plant's figures in the scale in which an instrument errs evenly.

/// A figure of the plant that some instrument reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum Quantity {
    /// Jacket water in, °C.
    JacketIn,
    /// Sea water in, °C.
    SeaTemp,
    /// Jacket water out, °C.
    JacketOut,
    /// Sea water out, °C.
    SeaOut,
    /// Vapour, °C.
    Vapour,
    /// Shell pressure, mbar absolute.
    Shell,
    /// Logarithm of the output in t/day.
    Product,
    /// Logarithm of the salt in the distillate in mg/kg.
    Salt,
    /// Motive pressure, bar gauge.
    Motive,
    /// Brine, °C.
    BrineTemp,
    /// Brine strength, g/kg.
    BrineSalinity,
    /// Vent pipe, °C.
    Vent,
    /// Logarithm of the jacket flow in kg/s.
    JacketFlow,
    /// Logarithm of the sea flow through the condenser in kg/s.
    SeaFlow,
    /// Logarithm of the air leak in kg/h.
    AirLeak,
    /// Logarithm of the feed in kg/s.
    FeedFlow,
    /// Pressure behind the ejector, bar gauge.
    Back,
}

/// How many there are.
pub(crate) const QUANTITIES: usize = 17;

impl Quantity {
    /// Every quantity, in order.
    pub(crate) const ALL: [Quantity; QUANTITIES] = [
        Quantity::JacketIn,
        Quantity::SeaTemp,
        Quantity::JacketOut,
        Quantity::SeaOut,
        Quantity::Vapour,
        Quantity::Shell,
        Quantity::Product,
        Quantity::Salt,
        Quantity::Motive,
        Quantity::BrineTemp,
        Quantity::BrineSalinity,
        Quantity::Vent,
        Quantity::JacketFlow,
        Quantity::SeaFlow,
        Quantity::AirLeak,
        Quantity::FeedFlow,
        Quantity::Back,
    ];

    /// What the model's equations miss by and keep missing by, one standard deviation in the quantity's scale (our estimate:
    /// well-mixed brine, one vapour temperature, closures for gas and carry-over); nought where the quantity is an input.
    #[must_use]
    pub fn model_error(self) -> f64 {
        match self {
            Quantity::JacketOut | Quantity::SeaOut | Quantity::BrineTemp => 0.4,
            Quantity::Vapour => 0.6,
            Quantity::Product => 0.02,
            Quantity::Salt => 0.40,
            Quantity::Shell => 3.0,
            Quantity::Vent => 1.5,
            _ => 0.0,
        }
    }
}
