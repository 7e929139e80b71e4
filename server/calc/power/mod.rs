//! Stage power (family `power`): amps on a circuit, drop along a cable, heat into the room.
//!
//! Planning figures only: a licensed electrician and the local code decide. Plate values are not measurements, and
//! harmonics and inrush are not modelled: cold tungsten draws ten times its current for tens of milliseconds, so heads
//! are switched on one after another. Every circuit near water or wet plaster needs its residual-current device.

pub mod cable;
pub mod heat;
pub mod load;

pub use cable::{Conductor, CopperTemp, DropCase, DropIec, DropLimit, DropNec};
pub use heat::{AdiabaticRise, HeatBtu, VentilatedRise};
pub use load::{
    ApparentPower, ContinuousLimit, CurrentSingle, CurrentThree, FixturesOnCircuit,
    UnbalancedNeutral,
};

use crate::fault::{Fault, FaultKind};

/// Share of its rating that a breaker may carry for three hours or more: it is sized at 125 % of such a load (NFPA 70
/// 210.20(A) and 215.3, from memory).
pub(crate) const CONTINUOUS_SHARE: f64 = 0.8;

/// Refuses anything but one phase or three.
fn needs_one_or_three(phases: u32) -> Result<(), Fault> {
    if matches!(phases, 1 | 3) {
        return Ok(());
    }
    let problem = "Phases must be 1 or 3.";
    Err(Fault::new("phases", FaultKind::NotOneOf, problem))
}
