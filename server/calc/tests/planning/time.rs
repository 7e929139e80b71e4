//! Checks of retime and media volume.

use serde_json::{Value, json};
use stillair_calc::timecode::media::{
    BitrateMode, RawRecording, StreamAtRate, media_bytes, media_bytes_at_rate, media_bytes_raw,
    media_rate_gigabyte_per_s,
};
use stillair_calc::timecode::retime::{
    RecordLength, ScreenLength, record_from_screen, screen_from_record,
};

use crate::read::{number, text, whole};

pub fn check_retime(inputs: &Value) -> Value {
    let (record_fps, base_fps) = (number(&inputs["record_fps"]), number(&inputs["base_fps"]));
    if inputs["screen_seconds"].is_null() {
        let screen = screen_from_record(RecordLength {
            record_fps,
            base_fps,
            record_seconds: number(&inputs["record_seconds"]),
        })
        .expect("a shot");
        return json!({"record_frames": screen.record_frames, "screen_seconds": screen.screen_seconds});
    }
    let recording = record_from_screen(ScreenLength {
        record_fps,
        base_fps,
        screen_seconds: number(&inputs["screen_seconds"]),
        head_handle_frames: whole(&inputs["head_handle_frames"]),
        tail_handle_frames: whole(&inputs["tail_handle_frames"]),
        editorial_scalar: number(&inputs["editorial_scalar"]),
    })
    .expect("a shot");
    json!({"screen_frames": recording.screen_frames, "record_frames": recording.record_frames, "k": recording.k,
        "record_seconds": recording.record_seconds})
}

pub fn check_media(inputs: &Value) -> Value {
    if let Some(bytes_per_frame) = inputs["bytes_per_frame"].as_f64() {
        return json!({"gigabyte_per_s": media_rate_gigabyte_per_s(bytes_per_frame, number(&inputs["fps"]))});
    }
    if !inputs["width"].is_null() {
        let raw = media_bytes_raw(RawRecording {
            width: whole(&inputs["width"]),
            height: whole(&inputs["height"]),
            bits_per_photosite: whole(&inputs["bits_per_photosite"]),
            photosites_per_pixel: whole(&inputs["photosites_per_pixel"]),
            frames: whole(&inputs["frames"]).into(),
        })
        .expect("a size");
        return json!({"bytes_per_frame": raw.bytes_per_frame, "bytes": raw.bytes});
    }
    let seconds = number(&inputs["seconds"]);
    let Some(megabit_per_s_at_base) = inputs["megabit_per_s_at_base"].as_f64() else {
        return json!({"bytes": media_bytes(number(&inputs["megabit_per_s"]), seconds)});
    };
    let mode = match text(&inputs["mode"]) {
        "constant bits per frame" => BitrateMode::ConstantBitsPerFrame,
        "constant bits per second" => BitrateMode::ConstantBitsPerSecond,
        other => panic!("unknown mode {other}"),
    };
    let stream = StreamAtRate {
        megabit_per_s_at_base,
        base_fps: number(&inputs["base_fps"]),
        record_fps: number(&inputs["record_fps"]),
        seconds,
        mode,
    };
    json!({"bytes": media_bytes_at_rate(stream)})
}
