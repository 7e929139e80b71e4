-- What the measures of a giveaway need: the wisps of the haze, the line that hangs in the story, drops and bubbles.
alter table setup add column wisp_mm real;
alter table setup add column story_line_m real;
alter table setup add column drop_mm real;
