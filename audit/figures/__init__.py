"""Engineering figures of a site: numbers reckoned from plan and readback, each with the sum that led to it.

    answers        what a figure says: a number with its sum and limits, or what it lacks
    surroundings   devices and networks as figures see them: numbers in the units of the formulas
    links          link margin; missing signal
    powers         radiated power; frequency in its band
    airtimes       duty of a node; airtime of a network
    power_life     battery life
    battery_volts  battery volts as read, against what the device needs
    alarm_times    time from event to alarm
    neighbours     networks that share a channel too near to each other
    registry       the figures by the names that rules use

The formulas are those of audit/engineering/; nothing here knows a rule or a level.
"""
