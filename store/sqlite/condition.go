package sqlite

import (
	"context"

	"holdfast/domain"
)

// conditionTable is the content of the table condition, which only grows.
type conditionTable struct {
	byNum map[int64]domain.Condition
	nums  map[domain.Condition]int64
}

func readConditions(ctx context.Context, q querier) (conditionTable, error) {
	t := conditionTable{byNum: map[int64]domain.Condition{}, nums: map[domain.Condition]int64{}}
	rows, err := q.QueryContext(ctx, `SELECT num, hand, item, setting, strategy FROM condition`)
	if err != nil {
		return t, wrap("reading the conditions", err)
	}
	defer rows.Close()
	for rows.Next() {
		var num int64
		var c domain.Condition
		if err := rows.Scan(&num, &c.Hand, &c.Item, &c.Setting, &c.Strategy); err != nil {
			return t, wrap("reading the conditions", err)
		}
		t.byNum[num], t.nums[c] = c, num
	}
	return t, wrap("reading the conditions", rows.Err())
}

// knownCondition looks the number up in memory; ok is false when it has to be read or made.
func (l *Lab) knownCondition(c domain.Condition) (num int64, ok bool) {
	l.known.RLock()
	defer l.known.RUnlock()
	num, ok = l.conditions.nums[c]
	return num, ok
}

// condition returns the number of the condition and makes one if there is none.
func (c *change) condition(want domain.Condition) (int64, error) {
	if num, ok := c.lab.knownCondition(want); ok {
		return num, nil
	}
	var num int64
	// The update changes nothing; it makes the row of an existing condition answer too.
	err := c.QueryRowContext(c.ctx, `INSERT INTO condition (hand, item, setting, strategy) VALUES (?, ?, ?, ?)
		ON CONFLICT (hand, item, setting, strategy) DO UPDATE SET hand = excluded.hand RETURNING num`,
		string(want.Hand), string(want.Item), string(want.Setting), string(want.Strategy)).Scan(&num)
	if err != nil {
		return 0, wrap("storing a condition", err)
	}
	c.lab.known.Lock()
	defer c.lab.known.Unlock()
	if c.lab.conditions.nums == nil {
		c.lab.conditions.nums = map[domain.Condition]int64{}
	}
	c.lab.conditions.nums[want] = num
	c.made = append(c.made, want) // a dropped change forgets it again
	return num, nil
}
