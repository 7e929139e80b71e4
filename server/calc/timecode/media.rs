//! How many bytes a recording fills. Decimal units: 1 GB is 10⁹ bytes.

/// Copies kept of every recording.
pub const COPIES: u32 = 2;

/// Room left above the plain sum for false starts and files beside the pictures (common practice, no source).
pub const ROOM_FACTOR: f64 = 1.1;

/// Bytes of a stream: `megabit a second × 10⁶ / 8 × seconds`.
pub fn media_bytes(megabit_per_s: f64, seconds: f64) -> f64 {
    megabit_per_s * 1e6 / 8.0 * seconds
}

/// What a recorder keeps constant when the record rate leaves the base rate. Recorders differ: ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BitrateMode {
    /// Bits a frame: the stream grows with the record rate.
    ConstantBitsPerFrame,
    /// Bits a second: the stream stays as it is.
    ConstantBitsPerSecond,
}

/// A stream stated at the base rate and recorded at another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamAtRate {
    /// Megabit a second at the base rate.
    pub megabit_per_s_at_base: f64,
    /// Frames a second the stream is stated at; above 0.
    pub base_fps: f64,
    /// Frames a second in camera.
    pub record_fps: f64,
    /// Seconds recorded.
    pub seconds: f64,
    /// What the recorder keeps constant.
    pub mode: BitrateMode,
}

/// Bytes of a stream recorded at another rate than it is stated at.
pub fn media_bytes_at_rate(stream: StreamAtRate) -> f64 {
    let scale = match stream.mode {
        BitrateMode::ConstantBitsPerFrame => stream.record_fps / stream.base_fps,
        BitrateMode::ConstantBitsPerSecond => 1.0,
    };
    media_bytes(stream.megabit_per_s_at_base * scale, stream.seconds)
}

/// An uncompressed recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RawRecording {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Bits kept for each photosite.
    pub bits_per_photosite: u32,
    /// Photosites kept for each pixel: 1 for a mosaic, 3 for three full planes.
    pub photosites_per_pixel: u32,
    /// Frames recorded.
    pub frames: u64,
}

/// Bytes of an uncompressed recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RawBytes {
    /// Bytes of one frame, without header or padding, rounded up to a whole byte.
    pub bytes_per_frame: u64,
    /// Bytes of all frames.
    pub bytes: u64,
}

/// Bytes of an uncompressed recording: `width × height × photosites × bits / 8` a frame. `None` when that is beyond any
/// store.
pub fn media_bytes_raw(raw: RawRecording) -> Option<RawBytes> {
    let bits = u64::from(raw.width)
        .checked_mul(u64::from(raw.height))?
        .checked_mul(u64::from(raw.bits_per_photosite))?
        .checked_mul(u64::from(raw.photosites_per_pixel))?;
    let bytes_per_frame = bits.div_ceil(8);
    Some(RawBytes {
        bytes_per_frame,
        bytes: bytes_per_frame.checked_mul(raw.frames)?,
    })
}

/// Gigabytes a second a recorder has to take: `bytes a frame × frames a second / 10⁹`.
pub fn media_rate_gigabyte_per_s(bytes_per_frame: f64, fps: f64) -> f64 {
    bytes_per_frame * fps / 1e9
}

/// Bytes to keep free for a number of takes, each copy: `takes × frames × bytes a frame × 1.1`.
pub fn planned_bytes_per_copy(takes: u32, record_frames: f64, bytes_per_frame: f64) -> f64 {
    f64::from(takes) * record_frames * bytes_per_frame * ROOM_FACTOR
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_recorder_with_constant_bits_a_second_does_not_grow_with_the_rate() {
        let stream = |mode| StreamAtRate {
            megabit_per_s_at_base: 440.0,
            base_fps: 24.0,
            record_fps: 120.0,
            seconds: 10.0,
            mode,
        };
        let grown = media_bytes_at_rate(stream(BitrateMode::ConstantBitsPerFrame));
        let same = media_bytes_at_rate(stream(BitrateMode::ConstantBitsPerSecond));
        assert!((grown / same - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_recording_beyond_any_store_has_no_size() {
        let raw = RawRecording {
            width: u32::MAX,
            height: u32::MAX,
            bits_per_photosite: 16,
            photosites_per_pixel: 3,
            frames: 1,
        };
        assert_eq!(media_bytes_raw(raw), None);
    }

    #[test]
    fn planned_bytes_leave_room() {
        let bytes = planned_bytes_per_copy(4, 144.0, 1e7);
        assert!((bytes / 6.336e9 - 1.0).abs() < 1e-12);
    }
}
