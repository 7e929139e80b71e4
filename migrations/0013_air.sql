-- What the crew knows of a stage's air, and what was read on the day.
alter table stage add column tent_leak_per_h real;
alter table stage add column tent_settling_per_h real;
alter table stage add column tent_purge_per_h real;
alter table stage add column room_changes_per_h real;
alter table stage add column haze_airborne_gpmin real;
alter table stage add column haze_yield real;
alter table stage add column haze_band_percent real;
alter table stage add column mixing_factor real;
alter table stage add column haze_fluid text not null default '';
alter table stage add column fluid_density_kgpl real;
alter table stage add column fluid_held_l real;
create table reading (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    day text,
    setup text,
    kind text not null,             -- cards, meter, leak, room
    at_clock_min integer,
    white_clear real,
    black_clear real,
    white_haze real,
    black_haze real,
    distance_m real,
    clear_lx real,
    haze_lx real,
    path_m real,
    first_per_m real,
    second_per_m real,
    minutes_between real,
    room_mgpm3 real,
    said_by text not null,
    said_at text not null
) strict;
create index reading_by_plan on reading (plan);
