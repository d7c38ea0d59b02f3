BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE audit (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	role TEXT NOT NULL, 
	action TEXT NOT NULL, 
	event INTEGER, 
	detail TEXT NOT NULL, 
	why TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(event) REFERENCES event (id)
);
INSERT INTO "audit" VALUES(1,'2026-11-25T05:19:36+00:00','','add',1,'{"files": [{"file": "monitor_log.csv", "sha256": "ab9f8db5a42d346626b3dc45a22133386c3dbc3c59bcec20cfd963589229ea50"}, {"file": "recorder_sheet.csv", "sha256": "61a5124811e4aa405cc65e2640b7ccb1ca33176c72014ba77dc611a451b11ea4"}]}','');
INSERT INTO "audit" VALUES(2,'2026-11-25T05:19:37+00:00','','add',2,'{"files": [{"file": "e.csv", "sha256": "e0044ce0c54ab333859a16d08084b738ef62816631667fea64c728e4465ea57f"}]}','');
INSERT INTO "audit" VALUES(3,'2026-11-25T05:19:37+00:00','','add',3,'{"files": [{"file": "e.csv", "sha256": "e0044ce0c54ab333859a16d08084b738ef62816631667fea64c728e4465ea57f"}]}','');
CREATE TABLE entry (
	id INTEGER NOT NULL, 
	event INTEGER NOT NULL, 
	stream TEXT NOT NULL, 
	content BLOB NOT NULL, 
	at TEXT NOT NULL, 
	role TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(event) REFERENCES event (id)
);
CREATE TABLE event (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	identity TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	date TEXT, 
	unit TEXT, 
	population TEXT, 
	setting TEXT, 
	added_at TEXT NOT NULL, 
	removed_at TEXT, 
	PRIMARY KEY (id), 
	UNIQUE (name), 
	UNIQUE (identity)
);
INSERT INTO "event" VALUES(1,'vf-log-and-sheet','e538918914893c66c6bd3fd4830c87e4c186e34145e9a1790a3ff1c4f0edd255','{"format": 1, "event_id": "vf-log-and-sheet", "population": "adult", "age_years": 64, "weight_kg": 82, "date": "2025-11-06", "setting": "Invented for teaching and tests: Quillhaven General, Alder ward. No such hospital, ward or patient.", "unit": "Alder ward", "witnessed": true, "monitored": true, "outcome": "alive at transfer to critical care", "sources": [{"file": "monitor_log.csv", "name": "Monitor log", "kind": "device", "rounding": "down"}, {"file": "recorder_sheet.csv", "name": "Recorder''s sheet", "kind": "person", "times": "clock", "date": "2025-11-06", "rounding": "down", "clock": {"offset": -95, "low": -110, "high": -80}}]}','8937442eb4b8f77f7cd78e3d5d3d2f3c1dda5af75e9227fb9f20fa0ae46351c6','2025-11-06','Alder ward','adult','Invented for teaching and tests: Quillhaven General, Alder ward. No such hospital, ward or patient.','2026-11-25T05:19:36+00:00',NULL);
INSERT INTO "event" VALUES(2,'1','8c0ec35c670b99fd5da08e2023cab2aa7f4b709a213bea676162a90de4aa4aa1','{"format": 1, "sources": [{"file": "e.csv", "only": "1"}], "event_id": "1"}','3237fb235d7c5c59fb74f68fed12ec2d41e9979b49a461a9e2d27584fe70717c',NULL,NULL,'adult',NULL,'2026-11-25T05:19:37+00:00',NULL);
INSERT INTO "event" VALUES(3,'2','34b5b54a1a5275dc58e8c6560c6617ad10c6e1127b1adb3d525d1c7d74fc5cdb','{"format": 1, "sources": [{"file": "e.csv", "only": "2"}], "event_id": "2"}','dbf60bc4d6f7ade91266f7104259a64b02bad2187a66a32149450097981f6bb0',NULL,NULL,'adult',NULL,'2026-11-25T05:19:37+00:00',NULL);
CREATE TABLE figure (
	event INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	value DOUBLE, 
	unit TEXT NOT NULL, 
	low DOUBLE, 
	high DOUBLE, 
	certainty TEXT NOT NULL, 
	verdict TEXT NOT NULL, 
	because TEXT, 
	PRIMARY KEY (event, name), 
	FOREIGN KEY(event) REFERENCES event (id)
);
INSERT INTO "figure" VALUES(1,'chest_compression_fraction',8.76955161626694512655e-01,'1',NULL,NULL,'not_assessed','met',NULL);
INSERT INTO "figure" VALUES(1,'chest_compression_fraction_from_recognition',8.25318940137389600586e-01,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'hands_off_time',118.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'compression_coverage',0.954228855721393,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'longest_pause',27.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'median_pause',11.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'pauses_over_10_s',5.0,'count',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'pauses_over_20_s',1.0,'count',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'last_compression_to_end',15.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'compression_rate',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'compressions_per_minute',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'compression_depth_median',NULL,'mm',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'depth_in_range',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'leaning',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'duty_cycle',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(1,'time_to_first_compression',60.0,'s',NULL,NULL,'not_assessed','met',NULL);
INSERT INTO "figure" VALUES(1,'time_to_first_shock',142.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'time_to_first_epinephrine',480.0,'s',NULL,NULL,'not_assessed','not_applicable','The first rhythm was shockable, so this does not apply.');
INSERT INTO "figure" VALUES(1,'time_to_advanced_airway',480.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'time_to_rosc',1080.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'rearrest_to_first_compression',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(1,'rearrest_to_first_shock',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(1,'rearrest_to_first_epinephrine',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(1,'rearrest_to_advanced_airway',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(1,'rearrest_to_rosc',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(1,'call_to_team_arrival',120.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'onset_to_recognition',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No arrest rhythm is labelled before the arrest was recognised.');
INSERT INTO "figure" VALUES(1,'pre_shock_pause_median',10.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'pre_shock_pause_max',22.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'post_shock_pause_median',3.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'post_shock_pause_max',5.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'peri_shock_pause_median',12.5,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'peri_shock_pause_max',27.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'hands_off_before_shock_median',10.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'hands_off_before_shock_max',22.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'shock_interval',137.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'first_shock_energy',200.0,'J',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'energy_per_kg',NULL,'J/kg',NULL,NULL,'not_assessed','not_applicable','Energies and doses go by weight in children, not in adults.');
INSERT INTO "figure" VALUES(1,'epinephrine_interval_median',240.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'epinephrine_interval_in_range',1.0,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'epinephrine_average_period',300.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'epinephrine_average_interval',200.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'shocks_before_epinephrine',3.0,'count',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'antiarrhythmic_dose',300.0,'mg',NULL,NULL,'not_assessed','met',NULL);
INSERT INTO "figure" VALUES(1,'dose_per_kg',NULL,'mg/kg',NULL,NULL,'not_assessed','not_applicable','Energies and doses go by weight in children, not in adults.');
INSERT INTO "figure" VALUES(1,'rhythm_check_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(1,'rhythm_check_pause',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(1,'compressor_change_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No change of the compressor is marked.');
INSERT INTO "figure" VALUES(1,'shockable_unshocked',16.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'ventilation_rate',NULL,'/min',NULL,NULL,'not_assessed','no_data','No ventilation is recorded.');
INSERT INTO "figure" VALUES(1,'etco2_lowest',12.0,'mmHg',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'etco2_at_20_min',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','The arrest ended before 20 min.');
INSERT INTO "figure" VALUES(1,'etco2_rise_at_rosc',NULL,'mmHg',NULL,NULL,'not_assessed','no_data','No end-tidal reading with a known unit stands there.');
INSERT INTO "figure" VALUES(1,'any_rosc',1.0,'',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'sustained_rosc',1.0,'',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'resuscitation_duration',1020.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'time_in_arrest',1080.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'pulseless_time',1080.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(1,'airway_confirmed',NULL,'',NULL,NULL,'not_assessed','no_data','No confirmation of the airway is marked.');
INSERT INTO "figure" VALUES(1,'registry_first_shock',3.0,'min',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(1,'registry_epinephrine',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(1,'registry_first_compression',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(1,'registry_airway_confirmed',NULL,'',NULL,NULL,'not_assessed','no_data','No confirmation of the airway is marked.');
INSERT INTO "figure" VALUES(1,'completeness',1.0,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(2,'chest_compression_fraction',NULL,'1',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'chest_compression_fraction_from_recognition',NULL,'1',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'hands_off_time',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'compression_coverage',NULL,'1',NULL,NULL,'not_assessed','no_data','No stretch of arrest holds compressions that end.');
INSERT INTO "figure" VALUES(2,'longest_pause',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'median_pause',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'pauses_over_10_s',NULL,'count',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'pauses_over_20_s',NULL,'count',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'last_compression_to_end',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records when compressions stopped, so hands-on time cannot be told.');
INSERT INTO "figure" VALUES(2,'compression_rate',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'compressions_per_minute',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'compression_depth_median',NULL,'mm',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'depth_in_range',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'leaning',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'duty_cycle',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(2,'time_to_first_compression',1200.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(2,'time_to_first_shock',NULL,'s',NULL,NULL,'not_assessed','no_data','The first rhythm is not known, so nobody can say whether this applies.');
INSERT INTO "figure" VALUES(2,'time_to_first_epinephrine',NULL,'s',NULL,NULL,'not_assessed','no_data','The first rhythm is not known, so nobody can say whether this applies.');
INSERT INTO "figure" VALUES(2,'time_to_advanced_airway',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records the airway.');
INSERT INTO "figure" VALUES(2,'time_to_rosc',NULL,'s',NULL,NULL,'not_assessed','no_data','Neither ROSC nor an end of efforts is marked.');
INSERT INTO "figure" VALUES(2,'rearrest_to_first_compression',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(2,'rearrest_to_first_shock',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(2,'rearrest_to_first_epinephrine',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(2,'rearrest_to_advanced_airway',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(2,'rearrest_to_rosc',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(2,'call_to_team_arrival',NULL,'s',NULL,NULL,'not_assessed','no_data','No call is marked.');
INSERT INTO "figure" VALUES(2,'onset_to_recognition',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No arrest rhythm is labelled before the arrest was recognised.');
INSERT INTO "figure" VALUES(2,'pre_shock_pause_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'pre_shock_pause_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'post_shock_pause_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'post_shock_pause_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'peri_shock_pause_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'peri_shock_pause_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'hands_off_before_shock_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'hands_off_before_shock_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'shock_interval',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shock is marked inside the arrest.');
INSERT INTO "figure" VALUES(2,'first_shock_energy',NULL,'J',NULL,NULL,'not_assessed','not_applicable','No shock is marked in the first episode.');
INSERT INTO "figure" VALUES(2,'energy_per_kg',NULL,'J/kg',NULL,NULL,'not_assessed','not_applicable','No shock is marked in the first episode.');
INSERT INTO "figure" VALUES(2,'epinephrine_interval_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No dose of epinephrine is counted.');
INSERT INTO "figure" VALUES(2,'epinephrine_interval_in_range',NULL,'1',NULL,NULL,'not_assessed','not_applicable','No dose of epinephrine is counted.');
INSERT INTO "figure" VALUES(2,'epinephrine_average_period',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No dose of epinephrine is counted.');
INSERT INTO "figure" VALUES(2,'epinephrine_average_interval',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No dose of epinephrine is counted.');
INSERT INTO "figure" VALUES(2,'shocks_before_epinephrine',NULL,'count',NULL,NULL,'not_assessed','not_applicable','No shock is marked in the first episode.');
INSERT INTO "figure" VALUES(2,'antiarrhythmic_dose',NULL,'mg',NULL,NULL,'not_assessed','not_applicable','No counted dose of an antiarrhythmic is marked.');
INSERT INTO "figure" VALUES(2,'dose_per_kg',NULL,'mg/kg',NULL,NULL,'not_assessed','not_applicable','No dose of epinephrine is counted.');
INSERT INTO "figure" VALUES(2,'rhythm_check_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(2,'rhythm_check_pause',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(2,'compressor_change_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No change of the compressor is marked.');
INSERT INTO "figure" VALUES(2,'shockable_unshocked',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shockable rhythm is labelled in the arrest.');
INSERT INTO "figure" VALUES(2,'ventilation_rate',NULL,'/min',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(2,'etco2_lowest',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(2,'etco2_at_20_min',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(2,'etco2_rise_at_rosc',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','The first episode ended without ROSC.');
INSERT INTO "figure" VALUES(2,'any_rosc',NULL,'',NULL,NULL,'not_assessed','no_data','Neither ROSC nor an end of efforts is marked.');
INSERT INTO "figure" VALUES(2,'sustained_rosc',NULL,'',NULL,NULL,'not_assessed','no_data','Neither ROSC nor an end of efforts is marked.');
INSERT INTO "figure" VALUES(2,'resuscitation_duration',0.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(2,'time_in_arrest',1200.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(2,'pulseless_time',1200.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(2,'airway_confirmed',NULL,'',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(2,'registry_first_shock',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(2,'registry_epinephrine',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(2,'registry_first_compression',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(2,'registry_airway_confirmed',NULL,'',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(2,'completeness',3.33333333333333314829e-01,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'chest_compression_fraction',1.0,'1',NULL,NULL,'not_assessed','met',NULL);
INSERT INTO "figure" VALUES(3,'chest_compression_fraction_from_recognition',9.87951807228915623859e-01,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'hands_off_time',0.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'compression_coverage',1.0,'1',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'longest_pause',0.0,'s',NULL,NULL,'not_assessed','met',NULL);
INSERT INTO "figure" VALUES(3,'median_pause',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No pause is as long as the shortest that counts.');
INSERT INTO "figure" VALUES(3,'pauses_over_10_s',0.0,'count',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'pauses_over_20_s',0.0,'count',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'last_compression_to_end',0.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'compression_rate',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'compressions_per_minute',NULL,'/min',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'compression_depth_median',NULL,'mm',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'depth_in_range',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'leaning',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'duty_cycle',NULL,'1',NULL,NULL,'not_assessed','no_data','No source holds single compressions by hand.');
INSERT INTO "figure" VALUES(3,'time_to_first_compression',300.0,'s',NULL,NULL,'not_assessed','not_met',NULL);
INSERT INTO "figure" VALUES(3,'time_to_first_shock',0.0,'s',NULL,NULL,'not_assessed','no_data','The first rhythm is not known, so nobody can say whether this applies.');
INSERT INTO "figure" VALUES(3,'time_to_first_epinephrine',10500.0,'s',NULL,NULL,'not_assessed','no_data','The first rhythm is not known, so nobody can say whether this applies.');
INSERT INTO "figure" VALUES(3,'time_to_advanced_airway',NULL,'s',NULL,NULL,'not_assessed','no_data','No source records the airway.');
INSERT INTO "figure" VALUES(3,'time_to_rosc',24900.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'rearrest_to_first_compression',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(3,'rearrest_to_first_shock',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(3,'rearrest_to_first_epinephrine',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(3,'rearrest_to_advanced_airway',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(3,'rearrest_to_rosc',NULL,'s',NULL,NULL,'not_assessed','not_applicable','There was no re-arrest.');
INSERT INTO "figure" VALUES(3,'call_to_team_arrival',NULL,'s',NULL,NULL,'not_assessed','no_data','No call is marked.');
INSERT INTO "figure" VALUES(3,'onset_to_recognition',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No arrest rhythm is labelled before the arrest was recognised.');
INSERT INTO "figure" VALUES(3,'pre_shock_pause_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','In its episode no compression stands on that side of the shock.');
INSERT INTO "figure" VALUES(3,'pre_shock_pause_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','In its episode no compression stands on that side of the shock.');
INSERT INTO "figure" VALUES(3,'post_shock_pause_median',300.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'post_shock_pause_max',300.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'peri_shock_pause_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','In its episode no compression stands on that side of the shock.');
INSERT INTO "figure" VALUES(3,'peri_shock_pause_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','In its episode no compression stands on that side of the shock.');
INSERT INTO "figure" VALUES(3,'hands_off_before_shock_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','Less than 30 s of arrest with compressions stand before the shock.');
INSERT INTO "figure" VALUES(3,'hands_off_before_shock_max',NULL,'s',NULL,NULL,'not_assessed','not_applicable','Less than 30 s of arrest with compressions stand before the shock.');
INSERT INTO "figure" VALUES(3,'shock_interval',NULL,'s',NULL,NULL,'not_assessed','not_applicable','Only one shock in any one episode is marked.');
INSERT INTO "figure" VALUES(3,'first_shock_energy',200.0,'J',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'energy_per_kg',NULL,'J/kg',NULL,NULL,'not_assessed','not_applicable','Energies and doses go by weight in children, not in adults.');
INSERT INTO "figure" VALUES(3,'epinephrine_interval_median',NULL,'s',NULL,NULL,'not_assessed','not_applicable','Only one counted dose of epinephrine in any one episode.');
INSERT INTO "figure" VALUES(3,'epinephrine_interval_in_range',NULL,'1',NULL,NULL,'not_assessed','not_applicable','Only one counted dose of epinephrine in any one episode.');
INSERT INTO "figure" VALUES(3,'epinephrine_average_period',NULL,'s',NULL,NULL,'not_assessed','not_applicable','Only one counted dose of epinephrine in any one episode.');
INSERT INTO "figure" VALUES(3,'epinephrine_average_interval',14400.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'shocks_before_epinephrine',1.0,'count',NULL,NULL,'not_assessed','no_data','The first rhythm is not known, so nobody can say whether this applies.');
INSERT INTO "figure" VALUES(3,'antiarrhythmic_dose',NULL,'mg',NULL,NULL,'not_assessed','not_applicable','No counted dose of an antiarrhythmic is marked.');
INSERT INTO "figure" VALUES(3,'dose_per_kg',NULL,'mg/kg',NULL,NULL,'not_assessed','not_applicable','Energies and doses go by weight in children, not in adults.');
INSERT INTO "figure" VALUES(3,'rhythm_check_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(3,'rhythm_check_pause',NULL,'s',NULL,NULL,'not_assessed','no_data','No rhythm check is marked.');
INSERT INTO "figure" VALUES(3,'compressor_change_interval',NULL,'s',NULL,NULL,'not_assessed','no_data','No change of the compressor is marked.');
INSERT INTO "figure" VALUES(3,'shockable_unshocked',NULL,'s',NULL,NULL,'not_assessed','not_applicable','No shockable rhythm is labelled in the arrest.');
INSERT INTO "figure" VALUES(3,'ventilation_rate',NULL,'/min',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'etco2_lowest',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'etco2_at_20_min',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'etco2_rise_at_rosc',NULL,'mmHg',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'any_rosc',1.0,'',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'sustained_rosc',NULL,'',NULL,NULL,'not_assessed','no_data','Less than 20 min after the last ROSC were recorded.');
INSERT INTO "figure" VALUES(3,'resuscitation_duration',24600.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'time_in_arrest',24900.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'pulseless_time',24900.0,'s',NULL,NULL,'not_assessed','no_target',NULL);
INSERT INTO "figure" VALUES(3,'airway_confirmed',NULL,'',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'registry_first_shock',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(3,'registry_epinephrine',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(3,'registry_first_compression',NULL,'min',NULL,NULL,'not_assessed','not_applicable','The registry''s own rule does not include this event.');
INSERT INTO "figure" VALUES(3,'registry_airway_confirmed',NULL,'',NULL,NULL,'not_assessed','not_applicable','No advanced airway is marked.');
INSERT INTO "figure" VALUES(3,'completeness',8.3333333333333337034e-01,'1',NULL,NULL,'not_assessed','no_target',NULL);
CREATE TABLE file (
	sha256 TEXT NOT NULL, 
	size BIGINT NOT NULL, 
	content BLOB NOT NULL, 
	PRIMARY KEY (sha256)
);
INSERT INTO "file" VALUES('ab9f8db5a42d346626b3dc45a22133386c3dbc3c59bcec20cfd963589229ea50',1768,X'4461746520616E642074696D653B4576656E743B4C6162656C3B456E6572677920284A293B52656D61726B0A323032352D31312D30362031343A30313A32383B4E6F74653B70616473206F6E3B3B696E76656E746564206576656E740A323032352D31312D30362031343A30313A34313B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A30323A30323B4368617267653B3B3230303B0A323032352D31312D30362031343A30323A31303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A30323A31333B52687974686D3B56463B3B0A323032352D31312D30362031343A30323A31373B53686F636B3B3B3230303B0A323032352D31312D30362031343A30323A32303B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A30343A31343B4368617267653B3B3230303B0A323032352D31312D30362031343A30343A32323B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A30343A32373B52687974686D3B56463B3B0A323032352D31312D30362031343A30343A33343B53686F636B3B3B3230303B0A323032352D31312D30362031343A30343A33393B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A30363A33363B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A30363A34323B52687974686D3B56463B3B0A323032352D31312D30362031343A30363A34343B4368617267653B3B3330303B0A323032352D31312D30362031343A30363A35383B53686F636B3B3B3330303B0A323032352D31312D30362031343A30373A30333B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A30383A31303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A30383A32343B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A30393A30323B4368617267653B3B3330303B0A323032352D31312D30362031343A30393A30383B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A30393A31323B52687974686D3B56463B3B0A323032352D31312D30362031343A30393A31353B53686F636B3B3B3330303B0A323032352D31312D30362031343A30393A31373B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31303A31353B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31303A31383B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31313A31303B4368617267653B3B3330303B0A323032352D31312D30362031343A31313A31363B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31313A32303B52687974686D3B56463B3B0A323032352D31312D30362031343A31313A32363B53686F636B3B3B3330303B0A323032352D31312D30362031343A31313A32393B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31333A32343B4368617267653B3B3330303B0A323032352D31312D30362031343A31333A33303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31333A33363B52687974686D3B5045413B3B0A323032352D31312D30362031343A31333A33373B44697361726D3B3B3B0A323032352D31312D30362031343A31333A33393B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31353A33333B4368617267653B3B3330303B0A323032352D31312D30362031343A31353A34303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31353A34353B52687974686D3B56463B3B0A323032352D31312D30362031343A31353A35303B53686F636B3B3B3330303B0A323032352D31312D30362031343A31353A35323B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31363A35303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31363A35343B436F6D7072657373696F6E732073746172743B3B3B0A323032352D31312D30362031343A31373A34303B436F6D7072657373696F6E732073746F703B3B3B0A323032352D31312D30362031343A31373A34373B52687974686D3B53696E75732072687974686D3B3B0A323032352D31312D30362031343A33393A33303B52687974686D3B53696E75732072687974686D3B3B0A');
INSERT INTO "file" VALUES('61a5124811e4aa405cc65e2640b7ccb1ca33176c72014ba77dc611a451b11ea4',688,X'54696D652C576861742068617070656E65642C44657461696C732C446F73652C556E69742C526F7574652C436F6D6D656E74730A31343A30312C417272657374207265636F676E697365642C2C2C2C2C22696E76656E746564206576656E743B20636F6C6C61707365207365656E206279207468652062656473696465206E75727365220A31343A30322C43726173682063616C6C2C2C2C2C2C0A31343A30322C43505220737461727465642C2C2C2C2C6669727374206E75727365206F6E207468652063686573740A31343A30332C53686F636B2C2C3230302C4A2C2C0A31343A30342C5465616D20617272697665642C2C2C2C2C0A31343A30352C494F206163636573732C494F2C2C2C2C74696269610A31343A30362C53686F636B2C2C3230302C4A2C2C0A31343A30382C53686F636B2C2C3330302C4A2C2C0A31343A30392C416472656E616C696E652C2C312C6D672C494F2C0A31343A30392C416D696F6461726F6E652C2C3330302C6D672C494F2C0A31343A30392C4169727761792C7375707261676C6F747469632C2C2C2C0A31343A31302C53686F636B2C2C3330302C4A2C2C0A31343A31322C416472656E616C696E652C2C312C6D672C494F2C0A31343A31332C4574434F322C2C31322C6D6D48672C2C0A31343A31332C53686F636B2C2C3330302C4A2C2C0A31343A31332C416D696F6461726F6E652C2C3135302C6D672C494F2C0A31343A31372C4574434F322C2C31382C6D6D48672C2C0A31343A31372C416472656E616C696E652C2C312C6D672C494F2C0A31343A31372C53686F636B2C2C3330302C4A2C2C0A31343A31392C524F53432C2C2C2C2C70756C7365206174207468652077726973740A31343A31392C4574434F322C2C34312C6D6D48672C2C0A31343A34332C5472616E736665722C2C2C2C2C746F20637269746963616C20636172650A');
INSERT INTO "file" VALUES('e0044ce0c54ab333859a16d08084b738ef62816631667fea64c728e4465ea57f',192,X'74696D652C6D61726B2C64657461696C2C616D6F756E742C756E69740A30303A30302C70756C73656C6573732C2C2C0A30303A32302C636F6D7072657373696F6E735F73746172742C2C2C0A30323A30302C636F6D7072657373696F6E735F73746F702C2C2C0A30323A30352C73686F636B2C2C3230302C4A0A30323A31302C636F6D7072657373696F6E735F73746172742C2C2C0A30353A30302C647275672C6570696E65706872696E652C312C6D670A30393A30302C726F73632C2C2C0A');
CREATE TABLE mapping (
	layout TEXT NOT NULL, 
	content TEXT NOT NULL, 
	at TEXT NOT NULL, 
	PRIMARY KEY (layout)
);
CREATE TABLE measurement (
	event INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	definitions INTEGER NOT NULL, 
	parameters TEXT NOT NULL, 
	at TEXT NOT NULL, 
	status TEXT NOT NULL, 
	marks INTEGER NOT NULL, 
	to_check INTEGER NOT NULL, 
	problems TEXT NOT NULL, 
	PRIMARY KEY (event), 
	FOREIGN KEY(event) REFERENCES event (id)
);
INSERT INTO "measurement" VALUES(1,'8937442eb4b8f77f7cd78e3d5d3d2f3c1dda5af75e9227fb9f20fa0ae46351c6',1,'{"beside": null, "clock_checks": "4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945", "draws": 0, "edition": null, "layouts": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", "min_pause_s": 1.0, "site": null, "software": "0.1.0", "window": "whole"}','2026-11-25T05:19:36+00:00','to_check',68,1,'[{"code": "starts_alone", "severity": "check", "message": "This source marks when compressions began but no stop or pause before the end, so it gives the first compression and no fraction or pause. Add the stops if they are known.", "source_id": "recorders-sheet", "place": null}]');
INSERT INTO "measurement" VALUES(2,'3237fb235d7c5c59fb74f68fed12ec2d41e9979b49a461a9e2d27584fe70717c',1,'{"beside": null, "clock_checks": "4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945", "draws": 0, "edition": null, "layouts": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", "min_pause_s": 1.0, "site": null, "software": "0.1.0", "window": "whole"}','2026-11-25T05:19:37+00:00','to_check',2,2,'[{"code": "times_ambiguous", "severity": "check", "message": "Times such as ''00:00'' can be read as clock times or as time elapsed. Taken as clock times. Say which with --times, in event.json or in the mapping.", "source_id": "e", "place": "column time"}, {"code": "source_kind_assumed", "severity": "note", "message": "Taken as the source kind ''person'' by its marks. Write \"kind\" in event.json to say otherwise.", "source_id": "e", "place": null}, {"code": "population_assumed", "severity": "note", "message": "Neither the population nor an age is given; read as an adult.", "source_id": null, "place": null}, {"code": "starts_alone", "severity": "check", "message": "This source marks when compressions began but no stop or pause before the end, so it gives the first compression and no fraction or pause. Add the stops if they are known.", "source_id": "e", "place": null}, {"code": "end_assumed", "severity": "note", "message": "Neither ROSC nor an end of efforts is marked; the event is taken to end with its last mark. Set the end if it is known.", "source_id": null, "place": null}]');
INSERT INTO "measurement" VALUES(3,'dbf60bc4d6f7ade91266f7104259a64b02bad2187a66a32149450097981f6bb0',1,'{"beside": null, "clock_checks": "4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945", "draws": 0, "edition": null, "layouts": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", "min_pause_s": 1.0, "site": null, "software": "0.1.0", "window": "whole"}','2026-11-25T05:19:37+00:00','to_check',5,2,'[{"code": "times_ambiguous", "severity": "check", "message": "Times such as ''02:00'' can be read as clock times or as time elapsed. Taken as clock times. Say which with --times, in event.json or in the mapping.", "source_id": "e", "place": "column time"}, {"code": "source_kind_assumed", "severity": "note", "message": "Taken as the source kind ''person'' by its marks. Write \"kind\" in event.json to say otherwise.", "source_id": "e", "place": null}, {"code": "population_assumed", "severity": "note", "message": "Neither the population nor an age is given; read as an adult.", "source_id": null, "place": null}, {"code": "zero_assumed", "severity": "check", "message": "Neither recognition nor loss of pulse is marked; time zero is assumed at the first sign of an arrest, so intervals from it may be longer. Set time zero.", "source_id": "e", "place": "5"}, {"code": "route_assumed", "severity": "note", "message": "1 doses have no route written and are taken as given into a vein or bone, beginning with this one.", "source_id": "e", "place": "7"}]');
CREATE TABLE source (
	event INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	file TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	only TEXT, 
	read BOOLEAN NOT NULL, 
	PRIMARY KEY (event, position), 
	FOREIGN KEY(event) REFERENCES event (id), 
	FOREIGN KEY(sha256) REFERENCES file (sha256)
);
INSERT INTO "source" VALUES(1,0,'monitor_log.csv','ab9f8db5a42d346626b3dc45a22133386c3dbc3c59bcec20cfd963589229ea50',NULL,1);
INSERT INTO "source" VALUES(1,1,'recorder_sheet.csv','61a5124811e4aa405cc65e2640b7ccb1ca33176c72014ba77dc611a451b11ea4',NULL,1);
INSERT INTO "source" VALUES(2,0,'e.csv','e0044ce0c54ab333859a16d08084b738ef62816631667fea64c728e4465ea57f','1',1);
INSERT INTO "source" VALUES(3,0,'e.csv','e0044ce0c54ab333859a16d08084b738ef62816631667fea64c728e4465ea57f','2',1);
CREATE INDEX event_by_date ON event (date);
CREATE INDEX source_by_sha256 ON source (sha256);
CREATE INDEX entry_by_event ON entry (event, stream, id);
CREATE INDEX figure_by_name ON figure (name);
CREATE INDEX audit_by_event ON audit (event);
COMMIT;