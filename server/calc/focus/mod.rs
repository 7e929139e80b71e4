//! Focus (family `focus`): depth of field, diffraction, stacking and tilt, measured from the entrance pupil.

pub mod depth;
pub mod stop;
pub mod tilt;

pub use depth::{DepthOfField, DepthSameMagnification, Hyperfocal, MagnificationFromMark};
pub use stop::{Airy, BestStop, EffectiveFNumber, FocusSlices};
pub use tilt::{TiltForTable, TiltHinge, TiltPlaneAndWedge};

use crate::fault::{Fault, FaultKind};

/// Diameter of the first dark ring of a point's image, in wavelengths × f-number; exactly 2.4393, 2.44 in the trade.
pub(crate) const AIRY_FACTOR: f64 = 2.44;
/// Green light, where the eye and most sensors see best, nm.
pub(crate) const WAVELENGTH_NM: f64 = 550.0;
/// Millimetres in a nanometre.
pub(crate) const MM_PER_NM: f64 = 1e-6;
/// Micrometres in a millimetre.
pub(crate) const UM_PER_MM: f64 = 1e3;

/// Magnification of a lens focused at a distance from its entrance pupil: f/(u − f/P).
///
/// # Errors
/// `too_close` on `field` when the distance is not more than f/P.
pub(crate) fn magnification(
    focal_length_mm: f64,
    pupil_magnification: f64,
    distance_mm: f64,
    field: &str,
) -> Result<f64, Fault> {
    let nearest_mm = focal_length_mm / pupil_magnification;
    if distance_mm <= nearest_mm {
        let shown = crate::figure::given(nearest_mm);
        let problem =
            format!("This lens cannot focus that close: it must be more than {shown} mm.");
        return Err(Fault::new(field, FaultKind::TooClose, problem));
    }
    Ok(focal_length_mm / (distance_mm - nearest_mm))
}

/// Distance of the entrance pupil ahead of the sensor: f(2 + m − 1/P) + HH.
pub(crate) fn pupil_ahead_of_sensor_mm(
    focal_length_mm: f64,
    magnification: f64,
    pupil_magnification: f64,
    principal_plane_separation_mm: f64,
) -> f64 {
    focal_length_mm * (2.0 + magnification - 1.0 / pupil_magnification)
        + principal_plane_separation_mm
}
