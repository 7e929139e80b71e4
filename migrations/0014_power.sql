-- Circuits of a stage, what hangs on them, and how lamps draw.
create table circuit (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    name text not null,
    stage text,
    breaker_a real,
    voltage_v real,
    phase text not null,            -- L1, L2, L3; empty: one phase alone
    cable_length_m real,
    cable_area_mm2 real
) strict;
create index circuit_by_plan on circuit (plan);
alter table lamp add column power_factor real;
alter table placement add column circuit text;
