-- The file itself refuses to change or drop an event, so that no later
-- statement of this program can do it by mistake. Trigger bodies are the one
-- part of the schema that another database words differently.

CREATE TRIGGER event_never_changes BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;

CREATE TRIGGER event_never_goes BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;

CREATE TRIGGER event_change_never_changes BEFORE UPDATE ON event_change
BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;

CREATE TRIGGER event_change_never_goes BEFORE DELETE ON event_change
BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;
