PRAGMA application_id = 1215786033;
BEGIN TRANSACTION;
CREATE TABLE about (
	"key" VARCHAR(40) NOT NULL, 
	value TEXT NOT NULL, 
	PRIMARY KEY ("key")
);
INSERT INTO "about" VALUES('schema','1');
INSERT INTO "about" VALUES('zone','Etc/UTC');
CREATE TABLE case_pictures (
	"case" INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	UNIQUE ("case", name), 
	FOREIGN KEY("case") REFERENCES cases (id), 
	FOREIGN KEY(digest) REFERENCES pictures (digest)
);
INSERT INTO "case_pictures" VALUES(1,'fork.jpg','92b2fa58028958317e408bd84ecfa70f5ee35b121991dbc232c49d166353708b');
CREATE TABLE cases (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	edition INTEGER NOT NULL, 
	head TEXT NOT NULL, 
	complaint TEXT NOT NULL, 
	findings INTEGER NOT NULL, 
	state VARCHAR(10) NOT NULL, 
	waits_for TEXT NOT NULL, 
	customer INTEGER, 
	vehicle INTEGER, 
	unit INTEGER, 
	earlier INTEGER, 
	distance_km FLOAT, 
	opened VARCHAR(20) NOT NULL, 
	changed VARCHAR(20) NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name), 
	FOREIGN KEY(customer) REFERENCES customers (id), 
	FOREIGN KEY(vehicle) REFERENCES vehicles (id), 
	FOREIGN KEY(unit) REFERENCES units (id), 
	FOREIGN KEY(earlier) REFERENCES cases (id)
);
INSERT INTO "cases" VALUES(1,'first',1,'case: first
customer: mountain rescue
phone: 555 0117
vehicle: KX 12-345
distance: 84000 km
photographs: [fork.jpg]
unit: {family: {drive: chain}, number: T-1041}
done:
  - {action: replace, on: range fork, note: "pads, too"}
findings:
','',1,'open','',1,1,1,NULL,84000.0,'2031-04-09T08:00:00Z','2031-04-09T08:00:00Z');
INSERT INTO "cases" VALUES(2,'again',3,'case: again
customer: mountain rescue
vehicle: KX 12-345
distance: 91000 km
unit: {number: T-1041}
earlier: first.yaml
findings:
','',1,'open','',1,1,1,1,91000.0,'2031-04-09T08:00:00Z','2031-04-09T08:00:00Z');
CREATE TABLE customers (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	name TEXT NOT NULL, 
	phone TEXT NOT NULL, 
	erased VARCHAR(20), 
	PRIMARY KEY (id)
);
INSERT INTO "customers" VALUES(1,'mountainrescue','mountain rescue','555 0117',NULL);
CREATE TABLE findings (
	"case" INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	at VARCHAR(20) NOT NULL, 
	who TEXT NOT NULL, 
	device TEXT NOT NULL, 
	PRIMARY KEY ("case", number), 
	FOREIGN KEY("case") REFERENCES cases (id)
)
 WITHOUT ROWID

;
INSERT INTO "findings" VALUES(1,1,'  - {check: pads, answer: burnt, seat: bench}
','2031-04-09T08:00:00Z','a mechanic','bench tablet');
INSERT INTO "findings" VALUES(2,1,'  - {told: "it hums again", seat: call}
','2031-04-09T08:00:00Z','a mechanic','bench tablet');
CREATE TABLE happened (
	id INTEGER NOT NULL, 
	"case" INTEGER, 
	at VARCHAR(20) NOT NULL, 
	who TEXT NOT NULL, 
	device TEXT NOT NULL, 
	what TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY("case") REFERENCES cases (id)
);
INSERT INTO "happened" VALUES(1,1,'2031-04-09T08:00:00Z','a mechanic','bench tablet','put into the ledger');
INSERT INTO "happened" VALUES(2,2,'2031-04-09T08:00:00Z','a mechanic','bench tablet','put into the ledger');
INSERT INTO "happened" VALUES(3,2,'2031-04-09T08:00:00Z','a mechanic','bench tablet','came back: the earlier case is ''first''');
CREATE TABLE pictures (
	digest VARCHAR(64) NOT NULL, 
	size INTEGER NOT NULL, 
	data BLOB NOT NULL, 
	PRIMARY KEY (digest)
);
INSERT INTO "pictures" VALUES('92b2fa58028958317e408bd84ecfa70f5ee35b121991dbc232c49d166353708b',9,X'612070696374757265');
CREATE TABLE units (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	number TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE ("key")
);
INSERT INTO "units" VALUES(1,'t1041','T-1041');
CREATE TABLE vehicles (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	plate TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE ("key")
);
INSERT INTO "vehicles" VALUES(1,'kx12345','KX 12-345');
CREATE TABLE words (
	word VARCHAR(64) NOT NULL, 
	"case" INTEGER NOT NULL, 
	PRIMARY KEY (word, "case"), 
	FOREIGN KEY("case") REFERENCES cases (id)
)
 WITHOUT ROWID

;
INSERT INTO "words" VALUES('0117',1);
INSERT INTO "words" VALUES('1041',1);
INSERT INTO "words" VALUES('12',1);
INSERT INTO "words" VALUES('345',1);
INSERT INTO "words" VALUES('555',1);
INSERT INTO "words" VALUES('5550117',1);
INSERT INTO "words" VALUES('first',1);
INSERT INTO "words" VALUES('kx',1);
INSERT INTO "words" VALUES('kx12345',1);
INSERT INTO "words" VALUES('mountain',1);
INSERT INTO "words" VALUES('rescue',1);
INSERT INTO "words" VALUES('t1041',1);
INSERT INTO "words" VALUES('1041',2);
INSERT INTO "words" VALUES('12',2);
INSERT INTO "words" VALUES('345',2);
INSERT INTO "words" VALUES('again',2);
INSERT INTO "words" VALUES('hums',2);
INSERT INTO "words" VALUES('it',2);
INSERT INTO "words" VALUES('kx',2);
INSERT INTO "words" VALUES('kx12345',2);
INSERT INTO "words" VALUES('mountain',2);
INSERT INTO "words" VALUES('rescue',2);
INSERT INTO "words" VALUES('t1041',2);
CREATE INDEX ix_customers_key ON customers ("key");
CREATE INDEX ix_cases_unit ON cases (unit);
CREATE INDEX cases_by_state ON cases (state, changed);
CREATE INDEX ix_cases_changed ON cases (changed);
CREATE INDEX ix_cases_earlier ON cases (earlier);
CREATE INDEX ix_cases_customer ON cases (customer);
CREATE INDEX ix_cases_vehicle ON cases (vehicle);
CREATE INDEX ix_happened_case ON happened ("case");
CREATE INDEX ix_words_case ON words ("case");
COMMIT;
