"""What spraying before maturity costs, by nodes above cracked boll."""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Boll size lost for each node above the no-loss point [%]. Kerby et al. 1992 (S3).
BOLL_SIZE_LOSS_PCT_PER_NODE = 6.68
#: Nodes above cracked boll without loss of boll size. Kerby et al. 1992 (S3).
BOLL_SIZE_NO_LOSS_NACB = 2.81
#: Micronaire lost for each node above the no-loss point [%]. Kerby et al. 1992 (S3).
MICRONAIRE_LOSS_PCT_PER_NODE = 5.90
#: Nodes above cracked boll without loss of micronaire. Kerby et al. 1992 (S3).
MICRONAIRE_NO_LOSS_NACB = 2.69
#: Fruiting branches that share the yield evenly. Kerby et al. 1992 (S3) computed with 12.
FRUITING_BRANCHES = 12


def boll_size_loss_pct(nacb: npt.ArrayLike) -> Floats:
    """Boll size lost at the top node when sprayed at a node count [%].

    Parameters
    ----------
    nacb
        Nodes above cracked boll.

    Returns
    -------
    float or ndarray
        Loss of that node's bolls, not of the field's [%], 0 to 100; NaN where NaN.

    References
    ----------
    Kerby, Supak, Banks and Snipes, 1992, Proc. Beltwide Cotton Conferences, pp. 155-156.
    """
    return _sloping(nacb, BOLL_SIZE_LOSS_PCT_PER_NODE, BOLL_SIZE_NO_LOSS_NACB)


def micronaire_loss_pct(nacb: npt.ArrayLike) -> Floats:
    """Micronaire lost at the top node when sprayed at a node count [%]; as `boll_size_loss_pct`."""
    return _sloping(nacb, MICRONAIRE_LOSS_PCT_PER_NODE, MICRONAIRE_NO_LOSS_NACB)


def field_loss_pct(nacb: npt.ArrayLike) -> Floats:
    """Yield of a field lost when sprayed at a node count, an upper bound [%].

    The boll-size loss of every node above the cracked boll, each node carrying one twelfth of the
    yield; between whole nodes the started node counts in proportion, so the loss is continuous.

    Parameters
    ----------
    nacb
        Nodes above cracked boll; more than 12 count as 12.

    Returns
    -------
    float or ndarray
        Loss of the field's yield [%]; NaN where NaN.

    Notes
    -----
    Top nodes carry less than an even share, so the true loss is smaller. Our arithmetic on the
    slope of Kerby et al., 1992, not their table.
    """
    nodes = np.clip(np.asarray(nacb, dtype=np.float64), 0, FRUITING_BRANCHES)
    position = np.arange(1, FRUITING_BRANCHES + 1)
    loss = np.maximum(boll_size_loss_pct(position), 0)
    whole = np.floor(nodes)
    full_nodes = np.where(position <= whole[..., np.newaxis], loss, 0.0).sum(axis=-1)
    started = (nodes - whole) * boll_size_loss_pct(nodes)
    total: Floats = ((full_nodes + started) / FRUITING_BRANCHES)[()]
    return total


def projected_nacb(
    nacb: npt.ArrayLike, heat_since_f_days: npt.ArrayLike, node_heat_f_days: float
) -> Floats:
    """Nodes above cracked boll after some heat [nodes].

    Parameters
    ----------
    nacb
        Nodes above cracked boll when counted.
    heat_since_f_days
        Heat units since the count [F days].
    node_heat_f_days
        Heat units that open one more node [F days].

    Returns
    -------
    float or ndarray
        Projected count, at least 0; NaN where an input is NaN.

    Raises
    ------
    ValueError
        If ``node_heat_f_days`` is not above 0.
    """
    if not node_heat_f_days > 0:
        raise ValueError(
            f"node_heat_f_days: got {node_heat_f_days:g}, wanted more than 0; "
            "give the heat that opens one node, about 50 F days"
        )
    heat = np.asarray(heat_since_f_days, dtype=np.float64)
    left: Floats = np.maximum(np.asarray(nacb, dtype=np.float64) - heat / node_heat_f_days, 0.0)
    return left


def _sloping(nacb: npt.ArrayLike, pct_per_node: float, no_loss_nacb: float) -> Floats:
    above = np.asarray(nacb, dtype=np.float64) - no_loss_nacb
    loss: Floats = np.clip(pct_per_node * above, 0.0, 100.0)
    return loss
