-- A book always has somebody who may do everything: the last lead stays lead, whatever asks for another role or a leave.
create trigger last_lead_stays before update of role, left_at_ms on person
when old.role = 'lead' and old.left_at_ms is null
    and (new.role <> 'lead' or new.left_at_ms is not null)
    and not exists (select 1 from person where role = 'lead' and left_at_ms is null and id <> old.id)
begin
    select raise(abort, 'the last lead stays lead');
end;

create trigger last_lead_is_kept before delete on person
when old.role = 'lead' and old.left_at_ms is null
    and not exists (select 1 from person where role = 'lead' and left_at_ms is null and id <> old.id)
begin
    select raise(abort, 'the last lead stays lead');
end;

create index session_person on session (person);
