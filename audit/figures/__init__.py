"""Engineering figures of a site: numbers calculated from plan and readback, each with its calculation.

    answers        what a figure says: a number with its calculation and limits, or what it lacks
    surroundings   devices and networks as figures see them, with numbers in the units of the formulas
    paths          loss of a path, by the plan's model
    links          link margin; missing signal
    availability   share of the time, or of places, for which a link holds
    clearances     clearance over obstacles between a node and its gateway
    powers         radiated power; frequency in its band
    reports        one report of a node, and all reports of a network with their repeats
    airtimes       duty of a node; airtime of a network
    power_life     battery life
    battery_volts  battery voltage as read, against what the device needs
    alarm_times    time from event to alarm
    neighbours     networks that share a channel but are too near each other
    room           how many more nodes a network can take
    registry       the figures by the names that rules use
    working_out    a figure for all devices of a block or all networks, and the limits that hold for it
    listing        every figure of a site in a list, for `asfound figures`

The formulas are those of audit/engineering/; nothing here knows a rule or a level.
"""
