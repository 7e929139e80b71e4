-- How fast the air on the stage moves, as timed with a wisp: it plays scale over stretch times as fast.
alter table setup add column air_drift_mm_per_s real;
