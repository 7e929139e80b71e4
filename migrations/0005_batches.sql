-- A batch is undone as one, so its rows must be found without reading the whole journal.
create index change_by_batch on change (batch) where batch is not null;
