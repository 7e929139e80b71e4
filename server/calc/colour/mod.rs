//! Colour by spectrum (family `colour`): how a lamp behind gels looks to a camera and on a screen, and which stack of
//! gels comes nearest to a colour wanted.
//!
//! Everything is summed on one grid, 380 to 780 nm every 5 nm. What is predicted is a standard observer, not a sensor: two
//! lights of the same x, y can photograph differently, most of all mixed-colour LEDs and fluorescents, so shoot a card
//! test. Generic gel models are stand-ins for measured tables.

pub mod daylight;
pub mod difference;
pub mod lamp;
pub mod light;
pub mod observer;
pub mod screen;
pub mod search;
pub mod sheet;
pub mod stock;
pub mod swatch;
pub mod temperature;

pub use daylight::{DaylightLocus, DaylightMultipliers, DaylightSpd, StandardDaylight};
pub use difference::Ciede2000;
pub use lamp::{Lamp, PowerTable};
pub use light::{GelStack, PlanckXy, SpectrumXy, UvPrime};
pub use observer::{Chromaticity, Spectrum, Xyz};
pub use screen::{Bradford, LabOf, SrgbEncode, XyzToLinearSrgb};
pub use search::{Ranked, Wanted, best_stacks};
pub use sheet::{Filter, FilterModel, Sheet, TransmittanceTable};
pub use stock::{Search, SearchCount};
pub use swatch::{Swatch, White};
pub use temperature::{CctDuv, CctOf, CctStatus, Temperature, temperature};
