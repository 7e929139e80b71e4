//! Practical lights (family `practicals`): lamps, cells and fibres inside a model, and how bright they stand against the
//! key.
//!
//! Lithium cells: a protection circuit, the right charger, a fuse near the cell; never charged inside the model or
//! unattended, none that is crushed or swollen, stored where fire cannot spread, sand and a suitable extinguisher near;
//! transport rules apply. A closed hull keeps heat: measure the lamps. Above extra-low voltage, or where it is wet, the
//! work is a licensed electrician's under the local code.

pub mod balance;
pub mod cell;
pub mod fibre;
pub mod led;

pub use balance::{Balance, LampLuminanceStops, LedIlluminance};
pub use cell::{BatteryRuntime, Peukert};
pub use fibre::{
    FibreAcceptance, FibreCapture, FibreEndLuminance, FibreIlluminance, FibreSource,
    FibreThroughput,
};
pub use led::{LedCurrent, LedResistor};
