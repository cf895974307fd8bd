"""Best known distances of Solomon's instances with 100 customers, distances cut to one decimal.

M. M. Solomon, Operations Research 35(2):254-265, 1987. The distances are as people who publish
solvers name them, none of them is our own; those of `FROM_MEMORY` were not seen in print here,
where what was seen followed another rule of rounding.
"""

SEEN = {
    **{"C101": 827.3, "C102": 827.3, "C103": 826.3, "C104": 822.9, "C105": 827.3},
    **{"C106": 827.3, "C107": 827.3, "C108": 827.3, "C109": 827.3},
    **{"C201": 589.1, "C202": 589.1},
    **{"R101": 1637.7, "R102": 1466.6, "R103": 1208.7, "R104": 971.5, "R105": 1355.3},
    **{"R106": 1234.6, "R107": 1064.6, "R108": 932.1, "R109": 1146.2, "R110": 1068.0},
    **{"R111": 1048.7, "R112": 948.6},
    **{"R201": 1143.2, "R202": 1029.6, "R203": 870.8},
    **{"RC101": 1619.8, "RC102": 1457.4, "RC103": 1258.0, "RC104": 1132.3, "RC105": 1513.7},
    **{"RC106": 1372.7, "RC107": 1207.8, "RC108": 1114.2},
    **{"RC201": 1261.8, "RC202": 1092.3, "RC203": 923.7, "RC204": 783.5, "RC205": 1154.0},
    **{"RC206": 1051.1, "RC207": 962.9, "RC208": 776.1},
}

FROM_MEMORY = {
    **{"C203": 588.7, "C204": 588.1, "C205": 586.4, "C206": 586.0, "C207": 585.8, "C208": 585.8},
    **{"R204": 731.3, "R205": 949.8, "R206": 875.9, "R207": 794.0, "R208": 701.0},
    **{"R209": 854.8, "R210": 900.5, "R211": 746.7},
}

BEST_KNOWN = SEEN | FROM_MEMORY
