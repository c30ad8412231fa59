-- A bench book as version 1 left it. Later versions are tested to read it; never change it.
BEGIN TRANSACTION;
CREATE TABLE events (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	part_id INTEGER, 
	kind TEXT NOT NULL, 
	text TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(run_id, job_id) REFERENCES runs (id, job_id), 
	FOREIGN KEY(part_id, job_id) REFERENCES parts (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "events" VALUES(1,1,1,NULL,'note','smells of fish','2026-11-24T12:00:05.000125+00:00');
CREATE TABLE jobs (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	machine TEXT NOT NULL, 
	note TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	PRIMARY KEY (id)
)
 STRICT

;
INSERT INTO "jobs" VALUES(1,'rack','','','2026-11-24T12:00:01.000125+00:00');
CREATE TABLE looks (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	look TEXT NOT NULL, 
	raw TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	source_file TEXT DEFAULT '' NOT NULL, 
	line INTEGER DEFAULT 0 NOT NULL, 
	"column" INTEGER DEFAULT 0 NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(run_id, job_id) REFERENCES runs (id, job_id), 
	FOREIGN KEY(part_id, job_id) REFERENCES parts (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "looks" VALUES(1,1,1,2,'leaked','wet at the seal','2026-11-24T12:00:04.000125+00:00','',0,0);
CREATE TABLE meta (
	version INTEGER NOT NULL, 
	program TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	PRIMARY KEY (version)
)
 STRICT

;
INSERT INTO "meta" VALUES(1,'0.1.0','2026-11-24T12:00:00.000125+00:00');
CREATE TABLE parts (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	revises INTEGER, 
	run_id INTEGER, 
	utc TEXT NOT NULL, 
	part TEXT NOT NULL, 
	can TEXT NOT NULL, 
	section TEXT NOT NULL, 
	capacitance_rated REAL, 
	voltage_rated REAL, 
	tolerance_low REAL, 
	tolerance_high REAL, 
	made REAL, 
	age_years REAL, 
	idle_years REAL, 
	grade TEXT NOT NULL, 
	construction TEXT NOT NULL, 
	polarity TEXT NOT NULL, 
	role TEXT NOT NULL, 
	voltage_working REAL, 
	service_hours REAL, 
	service_temperature_degc REAL, 
	in_circuit TEXT NOT NULL, 
	reform_outcome TEXT NOT NULL, 
	note TEXT NOT NULL, 
	flag TEXT NOT NULL, 
	source_file TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (id, job_id), 
	FOREIGN KEY(revises, job_id) REFERENCES parts (id, job_id), 
	FOREIGN KEY(run_id, job_id) REFERENCES runs (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "parts" VALUES(1,1,NULL,NULL,'2026-11-24T12:00:02.000125+00:00','C1','','',NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','','','',NULL,NULL,NULL,'','','','','',0);
INSERT INTO "parts" VALUES(2,1,NULL,NULL,'2026-11-24T12:00:02.000125+00:00','C2','','',NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','','','',NULL,NULL,NULL,'','','','','',0);
CREATE TABLE readings (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	part_id INTEGER, 
	answer INTEGER NOT NULL, 
	quantity TEXT NOT NULL, 
	value REAL, 
	at_least REAL, 
	at_most REAL, 
	uncertainty REAL, 
	range_high REAL, 
	frequency_hz REAL, 
	voltage_v REAL, 
	temperature_degc REAL, 
	soak_s REAL, 
	flag TEXT NOT NULL, 
	raw TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	monotonic_s REAL, 
	taken_at TEXT, 
	meter TEXT DEFAULT '' NOT NULL, 
	source_file TEXT DEFAULT '' NOT NULL, 
	line INTEGER DEFAULT 0 NOT NULL, 
	"column" INTEGER DEFAULT 0 NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (run_id, answer, quantity), 
	FOREIGN KEY(run_id, job_id) REFERENCES runs (id, job_id), 
	FOREIGN KEY(part_id, job_id) REFERENCES parts (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "readings" VALUES(1,1,1,1,1,'capacitance',4.7e-05,NULL,NULL,1.0e-07,NULL,120.0,NULL,NULL,NULL,'','4.7e-05,1.2','2026-11-24T12:00:01.000125+00:00',1.0,NULL,'','',0,0);
INSERT INTO "readings" VALUES(2,1,1,1,1,'esr',1.2,NULL,NULL,NULL,NULL,120.0,NULL,NULL,NULL,'','4.7e-05,1.2','2026-11-24T12:00:01.000125+00:00',1.0,NULL,'','',0,0);
CREATE TABLE runs (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	meter TEXT NOT NULL, 
	profile TEXT NOT NULL, 
	address TEXT NOT NULL, 
	identity TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	program TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "runs" VALUES(1,1,'part by part','bridge','','','','{"frequency_hz": 120.0}','0.1.0','2026-11-24T12:00:03.000125+00:00');
CREATE TABLE set_aside (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	file TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	"column" INTEGER NOT NULL, 
	heading TEXT NOT NULL, 
	found TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	remedy TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(run_id, job_id) REFERENCES runs (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
CREATE TABLE strikes (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	row_id INTEGER NOT NULL, 
	reason TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (what, row_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "strikes" VALUES(1,1,'look',1,'it was flux','2026-11-24T12:00:06.000125+00:00');
CREATE TABLE verdicts (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	policy TEXT NOT NULL, 
	program TEXT NOT NULL, 
	utc TEXT NOT NULL, 
	verdict TEXT NOT NULL, 
	confidence REAL, 
	decided_by TEXT NOT NULL, 
	because TEXT NOT NULL, 
	"limit" TEXT NOT NULL, 
	next TEXT NOT NULL, 
	energise TEXT NOT NULL, 
	assumed TEXT NOT NULL, 
	source TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(part_id, job_id) REFERENCES parts (id, job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
CREATE UNIQUE INDEX jobs_by_name ON jobs (name);
CREATE INDEX parts_by_job ON parts (job_id);
CREATE INDEX set_aside_by_run ON set_aside (run_id);
CREATE INDEX readings_by_part ON readings (part_id);
CREATE INDEX looks_by_part ON looks (part_id);
CREATE INDEX events_by_run ON events (run_id);
CREATE INDEX verdicts_by_part ON verdicts (part_id);
CREATE TRIGGER jobs_no_update BEFORE UPDATE ON jobs BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER jobs_no_delete BEFORE DELETE ON jobs BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER meta_no_update BEFORE UPDATE ON meta BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER meta_no_delete BEFORE DELETE ON meta BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER runs_no_update BEFORE UPDATE ON runs BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER runs_no_delete BEFORE DELETE ON runs BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER strikes_no_update BEFORE UPDATE ON strikes BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER strikes_no_delete BEFORE DELETE ON strikes BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER parts_no_update BEFORE UPDATE ON parts BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER parts_no_delete BEFORE DELETE ON parts BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER set_aside_no_update BEFORE UPDATE ON set_aside BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER set_aside_no_delete BEFORE DELETE ON set_aside BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER looks_no_update BEFORE UPDATE ON looks BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER looks_no_delete BEFORE DELETE ON looks BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER readings_no_update BEFORE UPDATE ON readings BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER readings_no_delete BEFORE DELETE ON readings BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER verdicts_no_update BEFORE UPDATE ON verdicts BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
CREATE TRIGGER verdicts_no_delete BEFORE DELETE ON verdicts BEGIN SELECT RAISE(ABORT, 'nothing in a bench book is changed or deleted: strike it out'); END;
COMMIT;
