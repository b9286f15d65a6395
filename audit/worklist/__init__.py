"""The work list: corrective steps in an order in which no node is stranded and no two collide."""
