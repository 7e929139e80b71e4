-- What the studio's plans share, and the plans themselves. One column a declared field; `versions` names, for each
-- field ever written, the journal number that set it.

-- One production: a title, its rates, the limits chosen for its air, and the minutes its changeovers take.
create table plan (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    title text not null,
    base_fps text not null,
    mains_hz text not null,
    usual_scale_denominator real,
    blur_line_px real,
    delivered_width_px real,
    handle_frames integer,
    incident_constant real,
    story_f_number real,
    air_agent text not null,
    air_peak_mgpm3 real,
    air_average_mgpm3 real,
    air_authority text not null,
    air_date text not null,
    air_mark text not null,
    change_build_min real,
    change_variant_min real,
    change_strike_min real,
    change_rig_min real,
    change_unrig_min real,
    change_relight_min real,
    change_gel_min real,
    change_camera_min real,
    change_lens_min real,
    haze_clear_to_light_min real,
    haze_clear_to_dense_min real,
    haze_light_to_dense_min real,
    haze_light_to_clear_min real,
    haze_dense_to_clear_min real,
    haze_dense_to_light_min real,
    day_open_min real,
    day_close_min real,
    meal_min real,
    meal_earliest_min real,
    meal_latest_min real,
    turnaround_min real
) strict;
create index plan_by_plan on plan (plan);

-- A stage.
create table stage (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    volume_m3 real,
    extract_per_h real,
    emergency text not null,
    hospital text not null,
    meeting_point text not null,
    address text not null
) strict;
create index stage_by_plan on stage (plan);

-- A camera body.
create table camera (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    lives_at text not null
) strict;
create index camera_by_plan on camera (plan);

-- What a camera records at: high rates often use less of the sensor, so the mode sets the frame.
create table camera_mode (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    camera text,
    name text not null,
    sensor_width_mm real,
    sensor_height_mm real,
    photosites_across integer,
    highest_fps real,
    rate_step_fps real
) strict;
create index camera_mode_by_plan on camera_mode (plan);

-- A lens.
create table lens (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    focal_length_mm real,
    widest_f_number real,
    smallest_f_number real,
    transmission real,
    nearest_focus_mm real,
    pupil_magnification real,
    principal_plane_separation_mm real,
    lives_at text not null
) strict;
create index lens_by_plan on lens (plan);

-- A model, set piece or cast tile.
create table piece (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    kind text not null,
    scale_denominator real,
    length_mm real,
    width_mm real,
    height_mm real,
    distinctiveness integer,
    order_key text not null,
    lives_at text not null
) strict;
create index piece_by_plan on piece (plan);

-- A stretch of the story in one place and time.
create table scene (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    code text not null,
    name text not null,
    order_key text not null
) strict;
create index scene_by_plan on scene (plan);

-- One shot of the cut: what the audience sees between two cuts.
create table shot (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    code text not null,
    name text not null,
    order_key text not null,
    scene text,
    length_frames integer,
    action text not null,
    board_picture text not null,
    story_order integer,
    scale_denominator real,
    story_speed_mps real,
    story_length_m real,
    travel text not null,
    travel_widths_per_s real,
    turn text not null,
    axis text not null,
    camera_side text not null,
    place text not null,
    look text not null,
    reach_m real,
    depth_m real,
    key_stops real,
    key_end_stops real,
    light_note text not null
) strict;
create index shot_by_plan on shot (plan);

-- A piece seen in a shot, and which face it shows.
create table sighting (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    shot text,
    piece text,
    face text not null,
    visibility text not null,
    orientation text not null,
    place text not null
) strict;
create index sighting_by_plan on sighting (plan);

-- One state of stage, rig, camera, light and air in which takes are made.
create table setup (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    code text not null,
    name text not null,
    order_key text not null,
    place text not null,
    scale_denominator real,
    camera_mode text,
    lens text,
    focal_length_mm real,
    f_number real,
    lens_transmission real,
    shoot_fps real,
    shutter_deg real,
    exposure_index real,
    focus_from_mark_mm real,
    tilt_deg real,
    roll_deg real,
    camera_height_mm real,
    squeeze real,
    pupil_magnification real,
    principal_plane_separation_mm real,
    nearest_piece_mm real,
    farthest_piece_mm real,
    haze_class text not null,
    reach_m real,
    contrast_far_end real,
    far_end_mm real,
    haze_liquid text not null,
    droplet_um real,
    air text not null,
    tent_near_mm real,
    tent_length_mm real,
    tent_width_mm real,
    tent_height_mm real,
    table_near_mm real,
    table_length_mm real,
    table_width_mm real,
    key_stops real,
    key_through_haze_mm real,
    key_distance_mm real,
    dressing text not null,
    rig text not null,
    camera_position text not null,
    light_plot text not null,
    gel_set text not null,
    prepare_min real,
    trim_min real,
    settle_min real,
    takes integer,
    take_cycle_min real,
    people text not null,
    ready_clock_min integer,
    ready_note text not null,
    bring text not null,
    path_start_mm real,
    path_side_mm real,
    path_height_mm real,
    path_heading_deg real,
    notes text not null
) strict;
create index setup_by_plan on setup (plan);

-- What is shot in a setup for one shot: the main element, or practicals, haze, plate, slice or card alone.
create table pass (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    shot text,
    setup text,
    element text not null,
    order_key text not null,
    moves text not null,
    story_speed_mps real,
    length_frames integer,
    reach_m real,
    shoot_fps real,
    f_number real,
    handle_frames integer,
    note text not null
) strict;
create index pass_by_plan on pass (plan);

-- One day on one stage.
create table day (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    date text not null,
    stage text,
    order_key text not null,
    call_clock_min integer,
    wrap_clock_min integer,
    meal_min real,
    first_aid text not null,
    competent_person text not null,
    detection text not null,
    note text not null
) strict;
create index day_by_plan on day (plan);

-- A setup's place on a day.
create table day_setup (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    day text,
    setup text,
    order_key text not null
) strict;
create index day_setup_by_plan on day_setup (plan);

-- When a role is called on a day.
create table crew_call (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    day text,
    role text not null,
    call_clock_min integer,
    needed_for text not null,
    order_key text not null
) strict;
create index crew_call_by_plan on crew_call (plan);
