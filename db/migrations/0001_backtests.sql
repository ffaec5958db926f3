CREATE TABLE `backtests` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`known_until` integer NOT NULL,
	`horizon_days` integer NOT NULL,
	`months` integer NOT NULL,
	`settings_version` integer NOT NULL,
	`data_version` integer NOT NULL,
	`format_version` integer NOT NULL,
	`created_at` integer NOT NULL,
	`result` text NOT NULL
);
