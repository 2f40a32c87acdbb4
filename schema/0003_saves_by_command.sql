-- SPDX-License-Identifier: GPL-3.0-or-later
-- The third rung: the newest save of a command without reading all of them. The first screen tells
-- how old the newest backup is; of 200 000 saves it took 35 ms to find that there is none.

CREATE INDEX request_command ON request (command, sequence);
