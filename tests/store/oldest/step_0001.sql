BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE attempts (
	id INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_attempts PRIMARY KEY (id)
);
INSERT INTO "attempts" VALUES(1,'name:nobody','2026-11-25 17:37:05.886071');
INSERT INTO "attempts" VALUES(2,'place:here','2026-11-25 17:37:05.886073');
CREATE TABLE changes (
	id INTEGER NOT NULL, 
	job VARCHAR(16) NOT NULL, 
	revision INTEGER NOT NULL, 
	at DATETIME NOT NULL, 
	person VARCHAR(16), 
	who TEXT NOT NULL, 
	path TEXT NOT NULL, 
	"before" TEXT, 
	"after" TEXT, 
	undoes INTEGER, 
	CONSTRAINT pk_changes PRIMARY KEY (id), 
	CONSTRAINT fk_changes_job FOREIGN KEY(job) REFERENCES jobs (id) ON DELETE CASCADE
);
INSERT INTO "changes" VALUES(1,'d9d03c342ef28cb2',1,'2026-11-25 17:37:04.793649','3799837322263e58','Ada Quill','',NULL,'"format = 1\n\n[job]\ntitle = \"First house\"          # as on the sign\nnumber = \"D-001\"\ncustomer = \"The people of First house\"\naddress = \"3 Ladder Lane, Upper Quillby\"\n\n[town]\nname = \"Upper Quillby\"\nedition = \"NEC 2023\"\n\n[buildings.house]\nuse = \"dwelling\"\nfloor_area_ft2 = 1450  # paced outside\n"',NULL);
INSERT INTO "changes" VALUES(2,'d9d03c342ef28cb2',2,'2026-11-25 17:37:04.815936','f2eac1f009e76913','Ben Fern','buildings.house.floor_area_ft2','1450','1500',NULL);
INSERT INTO "changes" VALUES(3,'d9d03c342ef28cb2',3,'2026-11-25 17:37:04.829578','3799837322263e58','Ada Quill','buildings.house.year_built',NULL,'1934',NULL);
INSERT INTO "changes" VALUES(4,'d9d03c342ef28cb2',3,'2026-11-25 17:37:04.841246','3799837322263e58','Ada Quill','@stage','"surveyed"','"quoted"',NULL);
INSERT INTO "changes" VALUES(5,'d9d03c342ef28cb2',3,'2026-11-25 17:37:04.841246','3799837322263e58','Ada Quill','@waits_on','"nobody"','"customer"',NULL);
INSERT INTO "changes" VALUES(6,'fb5a9fd17a25b61e',1,'2026-11-25 17:37:04.934551','3799837322263e58','Ada Quill','',NULL,'"format = 1\n\n[job]\ntitle = \"Second house\"          # as on the sign\nnumber = \"D-002\"\ncustomer = \"The people of Second house\"\naddress = \"3 Ladder Lane, Upper Quillby\"\n\n[town]\nname = \"Upper Quillby\"\nedition = \"NEC 2023\"\n\n[buildings.house]\nuse = \"dwelling\"\nfloor_area_ft2 = 1450  # paced outside\n"',NULL);
INSERT INTO "changes" VALUES(7,'fb5a9fd17a25b61e',2,'2026-11-25 17:37:04.946955','f2eac1f009e76913','Ben Fern','buildings.house.floor_area_ft2','1450','1500',NULL);
INSERT INTO "changes" VALUES(8,'fb5a9fd17a25b61e',3,'2026-11-25 17:37:04.961162','3799837322263e58','Ada Quill','buildings.house.year_built',NULL,'1934',NULL);
INSERT INTO "changes" VALUES(9,'fb5a9fd17a25b61e',3,'2026-11-25 17:37:04.965137','3799837322263e58','Ada Quill','@stage','"surveyed"','"quoted"',NULL);
INSERT INTO "changes" VALUES(10,'fb5a9fd17a25b61e',3,'2026-11-25 17:37:04.965137','3799837322263e58','Ada Quill','@waits_on','"nobody"','"customer"',NULL);
CREATE TABLE invitations (
	digest VARCHAR(64) NOT NULL, 
	role VARCHAR(8) NOT NULL, 
	"by" VARCHAR(16), 
	until DATETIME NOT NULL, 
	CONSTRAINT pk_invitations PRIMARY KEY (digest), 
	CONSTRAINT fk_invitations_by FOREIGN KEY("by") REFERENCES people (id) ON DELETE SET NULL, 
	CONSTRAINT ck_invitations_role CHECK (role IN ('owner', 'crew', 'view'))
);
INSERT INTO "invitations" VALUES('f5317018683ff6e541273970ab704e4c1f7d66591f5ba5f1251b09f47cdcb9b8','view','3799837322263e58','2026-12-02 17:37:04.729330');
CREATE TABLE jobs (
	id VARCHAR(16) NOT NULL, 
	title TEXT NOT NULL, 
	looked_up TEXT NOT NULL, 
	text TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	stage VARCHAR(12) NOT NULL, 
	waits_on VARCHAR(12) NOT NULL, 
	created_at DATETIME NOT NULL, 
	changed_at DATETIME NOT NULL, 
	CONSTRAINT pk_jobs PRIMARY KEY (id), 
	CONSTRAINT ck_jobs_stage CHECK (stage IN ('surveyed', 'quoted', 'permit', 'dated', 'cut over', 'passed', 'closed')), 
	CONSTRAINT ck_jobs_waits_on CHECK (waits_on IN ('nobody', 'shop', 'customer', 'town', 'utility', 'inspector'))
);
INSERT INTO "jobs" VALUES('d9d03c342ef28cb2','First house','first house d-001 the people of first house 3 ladder lane, upper quillby upper quillby','format = 1

[job]
title = "First house"          # as on the sign
number = "D-001"
customer = "The people of First house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1500  # paced outside
year_built = 1934
',3,'quoted','customer','2026-11-25 17:37:04.793649','2026-11-25 17:37:04.841246');
INSERT INTO "jobs" VALUES('fb5a9fd17a25b61e','Second house','second house d-002 the people of second house 3 ladder lane, upper quillby upper quillby','format = 1

[job]
title = "Second house"          # as on the sign
number = "D-002"
customer = "The people of Second house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1500  # paced outside
year_built = 1934
',3,'quoted','customer','2026-11-25 17:37:04.934551','2026-11-25 17:37:04.965137');
CREATE TABLE looked_at (
	job VARCHAR(16) NOT NULL, 
	person VARCHAR(16) NOT NULL, 
	text TEXT NOT NULL, 
	CONSTRAINT pk_looked_at PRIMARY KEY (job, person), 
	CONSTRAINT fk_looked_at_job FOREIGN KEY(job) REFERENCES jobs (id) ON DELETE CASCADE
);
INSERT INTO "looked_at" VALUES('d9d03c342ef28cb2','3799837322263e58','format = 1

[job]
title = "First house"          # as on the sign
number = "D-001"
customer = "The people of First house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1450  # paced outside
');
INSERT INTO "looked_at" VALUES('d9d03c342ef28cb2','f2eac1f009e76913','format = 1

[job]
title = "First house"          # as on the sign
number = "D-001"
customer = "The people of First house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1450  # paced outside
');
INSERT INTO "looked_at" VALUES('fb5a9fd17a25b61e','3799837322263e58','format = 1

[job]
title = "Second house"          # as on the sign
number = "D-002"
customer = "The people of Second house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1450  # paced outside
');
INSERT INTO "looked_at" VALUES('fb5a9fd17a25b61e','f2eac1f009e76913','format = 1

[job]
title = "Second house"          # as on the sign
number = "D-002"
customer = "The people of Second house"
address = "3 Ladder Lane, Upper Quillby"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1450  # paced outside
');
CREATE TABLE notes (
	job VARCHAR(16) NOT NULL, 
	about VARCHAR(120) NOT NULL, 
	words TEXT NOT NULL, 
	who TEXT NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_notes PRIMARY KEY (job, about), 
	CONSTRAINT fk_notes_job FOREIGN KEY(job) REFERENCES jobs (id) ON DELETE CASCADE
);
INSERT INTO "notes" VALUES('d9d03c342ef28cb2','way-1','The customer likes this one.','Ada Quill','2026-11-25 17:37:04.854447');
INSERT INTO "notes" VALUES('fb5a9fd17a25b61e','way-1','The customer likes this one.','Ada Quill','2026-11-25 17:37:04.973385');
CREATE TABLE people (
	id VARCHAR(16) NOT NULL, 
	name TEXT NOT NULL, 
	sign_in TEXT NOT NULL, 
	role VARCHAR(8) NOT NULL, 
	password TEXT, 
	active INTEGER DEFAULT '1' NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_people PRIMARY KEY (id), 
	CONSTRAINT uq_people_sign_in UNIQUE (sign_in), 
	CONSTRAINT ck_people_role CHECK (role IN ('owner', 'crew', 'view'))
);
INSERT INTO "people" VALUES('3799837322263e58','Ada Quill','ada','owner','$argon2id$v=19$m=65536,t=3,p=4$RBYltEj0qtxqQwzXOE4XEA$74SO3SwqVIyVp3L7cCT0QnCUmpjfanPXm+Cg7Ak6tk4',1,'2026-11-25 17:37:04.197140');
INSERT INTO "people" VALUES('f2eac1f009e76913','Ben Fern','ben','crew','$argon2id$v=19$m=65536,t=3,p=4$HmAK0i6J2bJCrkn1Bgvahw$Zfb4YzakKx2WdWgSQ5sI3VRxbBY1UuPxcK62uXFkx6M',1,'2026-11-25 17:37:04.707055');
CREATE TABLE photographs (
	id VARCHAR(16) NOT NULL, 
	job VARCHAR(16) NOT NULL, 
	item TEXT NOT NULL, 
	caption TEXT DEFAULT '' NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	bytes INTEGER NOT NULL, 
	who TEXT NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_photographs PRIMARY KEY (id), 
	CONSTRAINT fk_photographs_job FOREIGN KEY(job) REFERENCES jobs (id) ON DELETE CASCADE, 
	CONSTRAINT uq_photographs_once UNIQUE (job, item, digest)
);
INSERT INTO "photographs" VALUES('9f1e0b33cbf88153','d9d03c342ef28cb2','buildings.house','North side','a4378b782658ddf3c38a327fe50c058412fe3aaa3fac40b8626e69c31234b545','JPEG',64,48,697,'Ben Fern','2026-11-25 17:37:04.922255');
INSERT INTO "photographs" VALUES('51e30d4ab0b262ce','fb5a9fd17a25b61e','buildings.house','North side','a4378b782658ddf3c38a327fe50c058412fe3aaa3fac40b8626e69c31234b545','JPEG',64,48,697,'Ben Fern','2026-11-25 17:37:05.024505');
CREATE TABLE sessions (
	digest VARCHAR(64) NOT NULL, 
	person VARCHAR(16) NOT NULL, 
	form_key VARCHAR(64) NOT NULL, 
	until DATETIME NOT NULL, 
	CONSTRAINT pk_sessions PRIMARY KEY (digest), 
	CONSTRAINT fk_sessions_person FOREIGN KEY(person) REFERENCES people (id) ON DELETE CASCADE
);
INSERT INTO "sessions" VALUES('68456557bb03b0a16911b9e9660b3bba0b6658ba315813284244da733467ad7d','3799837322263e58','mFXX-uCHmXWJ2AsoE8UkvBHamR5-5HV_','2026-12-25 17:37:04.726097');
CREATE INDEX ix_sessions_person ON sessions (person);
CREATE INDEX ix_attempts_what_at ON attempts (what, at);
CREATE INDEX ix_jobs_changed_at ON jobs (changed_at);
CREATE INDEX ix_jobs_stage_changed_at ON jobs (stage, changed_at);
CREATE INDEX ix_changes_job_id ON changes (job, id);
CREATE INDEX ix_photographs_job ON photographs (job);
COMMIT;
