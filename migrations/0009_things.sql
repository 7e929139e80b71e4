-- Things on the table, what a setup's ledgers need of rig, drive, shadow, tiles and waves, and findings let pass.

-- A lamp head.
create table lamp (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    source_diameter_mm real,
    beam_deg real,
    intensity_cd real,
    power_w real,
    flicker_hz real,
    flicker_depth real,
    pwm_duty real,
    lives_at text not null
) strict;
create index lamp_by_plan on lamp (plan);

-- A projector.
create table projector (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    throw_ratio real,
    aspect real,
    flux_lm real,
    pixels_across integer,
    refresh_hz real,
    lives_at text not null
) strict;
create index projector_by_plan on projector (plan);

-- A motor with its drum, turntable or dolly.
create table drive (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    drum_diameter_mm real,
    steps_per_turn integer,
    microsteps integer,
    gear_ratio real,
    most_acceleration_mm_per_s2 real,
    dial_slow real,
    speed_slow_mm_per_s real,
    dial_fast real,
    speed_fast_mm_per_s real,
    timed_by text not null,
    lives_at text not null
) strict;
create index drive_by_plan on drive (plan);

-- A line to hang models on.
create table filament (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    diameter_mm real,
    breaking_n real,
    modulus_gpa real,
    knot text not null,
    lives_at text not null
) strict;
create index filament_by_plan on filament (plan);

-- A thing standing in a setup.
create table placement (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    setup text,
    kind text not null,
    name text not null,
    order_key text not null,
    piece text,
    lamp text,
    projector text,
    x_mm real,
    y_mm real,
    z_mm real,
    heading_deg real,
    tilt_deg real,
    length_mm real,
    width_mm real,
    height_mm real,
    scale_denominator real,
    face text not null,
    shades text,
    beam_deg real,
    throw_mm real,
    dim_percent real,
    motion text not null,
    cue_screen_s real
) strict;
create index placement_by_plan on placement (plan);

-- A finding that a named person let pass.
create table let_pass (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    setup text,
    pass text,
    rule text not null,
    accepted text not null,
    reason text not null,
    let_by text not null,
    let_on text not null
) strict;
create index let_pass_by_plan on let_pass (plan);

alter table setup add column filament text;
alter table setup add column line_count integer;
alter table setup add column line_drop_mm real;
alter table setup add column line_spread_mm real;
alter table setup add column line_top_spread_mm real;
alter table setup add column hung_mass_g real;
alter table setup add column dynamic_factor real;
alter table setup add column line_contrast real;
alter table setup add column swing_first_mm real;
alter table setup add column swing_last_mm real;
alter table setup add column swing_count integer;
alter table setup add column still_for text not null default '';
alter table setup add column driven text not null default '';
alter table setup add column drive text;
alter table setup add column arm_radius_mm real;
alter table setup add column ramp_swings integer;
alter table setup add column ramp_s real;
alter table setup add column rail_length_mm real;
alter table setup add column rail_tape_mm real;
alter table setup add column rail_spare_mm real;
alter table setup add column rail_height_mm real;
alter table setup add column shadow_width_mm real;
alter table setup add column shadow_edge_mm real;
alter table setup add column shadow_story_mps real;
alter table setup add column shadow_story_height_m real;
alter table setup add column tile_spare_percent real;
alter table setup add column wave_length_m real;
alter table setup add column wave_slope real;
alter table setup add column wave_depth_m real;
alter table setup add column slice_overlap real;

alter table piece add column mass_g real;
alter table piece add column finest_detail_mm real;
alter table piece add column led_count integer;
alter table piece add column led_forward_v real;
alter table piece add column led_current_ma real;
alter table piece add column supply_v real;
alter table piece add column cell_capacity_mah real;
alter table piece add column practical_cd real;
alter table piece add column emitter_mm real;
alter table piece add column real_emitter_mm real;
alter table piece add column fibre_flux_lm real;
alter table piece add column fibre_core_mm real;
alter table piece add column fibre_length_m real;

alter table shot add column plate_sensor_width_mm real;
alter table shot add column plate_sensor_height_mm real;
alter table shot add column plate_focal_length_mm real;
alter table shot add column plate_squeeze real;
alter table shot add column plate_height_m real;
alter table shot add column plate_distance_m real;
alter table shot add column plate_tilt_deg real;
alter table shot add column board_sketch text not null default '';
