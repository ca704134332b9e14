package api

// ItemEconomics is what picking an item brings and costs, in the lab's currency.
type ItemEconomics struct {
	ID             string             `json:"id,omitempty" doc:"The item's"`
	ValuePerGood   float64            `json:"value_per_good" doc:"Money that an item placed undamaged brings"`
	CostDamaged    float64            `json:"cost_damaged" doc:"Cost of a damaged item: the item and cleaning up"`
	CostFailed     float64            `json:"cost_failed" doc:"Cost of a failed attempt"`
	CostFailedBy   map[string]float64 `json:"cost_failed_by,omitempty" doc:"By outcome, where it differs from cost_failed: dropped, slipped, missed, pushed, stopped, failed"`
	CostPersonItem float64            `json:"cost_person_item" doc:"Cost of handing one item to a person during automatic picking"`
	PersonS        float64            `json:"person_s" doc:"A person's time for an item when a person picks all, s"`
	ItemS          float64            `json:"item_s" doc:"Added to every item, s"`
	FailS          float64            `json:"fail_s" doc:"Added to every failed attempt, s"`
	WaitS          float64            `json:"wait_s" doc:"How long the line waits for each item handed to a person, s"`
	CycleS         float64            `json:"cycle_s" doc:"An attempt's duration where no trial was timed, s; 0: not known"`
	DemandPerHour  float64            `json:"demand_per_hour" doc:"Items that the line is fed in an hour; 0: as many as it can take"`
	Share          float64            `json:"share" doc:"Of the line's hours, 0 to 1"`
	Target         float64            `json:"target" doc:"Success that an automated pick must reach; 0: the study's"`
	Confidence     float64            `json:"confidence" doc:"That the target is reached, 0.5 to 1"`
	Retry          []string           `json:"retry" nullable:"false" enum:"same,next,person,leave" doc:"What follows each failed attempt"`
	Shared         *float64           `json:"shared,omitempty" nullable:"false" doc:"Latent correlation of attempts at one item, 0 to 0.95; left out: assumed"`
	RetryFactor    float64            `json:"retry_factor" doc:"The odds of success at each further attempt are multiplied by it"`
	Note           string             `json:"note,omitempty"`
	Meta
}

// HandEconomics is what keeping a hand costs.
type HandEconomics struct {
	ID        string  `json:"id,omitempty" doc:"The hand's"`
	Price     float64 `json:"price"`
	LifeH     float64 `json:"life_h" doc:"Hours of running after which it is replaced; 0: not by hours"`
	LifePicks float64 `json:"life_picks" doc:"Attempts after which it is replaced; 0: not by attempts"`
	ChangeS   float64 `json:"change_s" doc:"How long the line stands while it is put on, s"`
	Note      string  `json:"note,omitempty"`
	Meta
}

// LineEconomics is what the line costs, whatever it picks.
type LineEconomics struct {
	ID              string  `json:"id,omitempty" doc:"line"`
	Currency        string  `json:"currency" doc:"ISO 4217 code of all amounts; nothing is converted"`
	LinePerHour     float64 `json:"line_per_hour" doc:"Cost of an hour of the line"`
	StandingPerHour float64 `json:"standing_per_hour" doc:"Money lost in an hour that the line stands, for tool changes"`
	PersonPerHour   float64 `json:"person_per_hour" doc:"Cost of an hour of the person who would pick instead"`
	CycleH          float64 `json:"cycle_h" doc:"A production cycle, in which each kept hand is put on once, h"`
	Note            string  `json:"note,omitempty"`
	Meta
}

// Estimate is a posterior mean with its central 90 % interval.
type Estimate struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low" doc:"5 % point"`
	High float64 `json:"high" doc:"95 % point"`
}

// ItemValue tells what each condition of an item earns. Money is in the currency, an hour of the line unless it says an item.
type ItemValue struct {
	Item              string     `json:"item"`
	Currency          string     `json:"currency"`
	Retry             []string   `json:"retry" nullable:"false"`
	Shared            float64    `json:"shared" doc:"Latent correlation of attempts at one item that was used"`
	SharedAssumed     bool       `json:"shared_assumed"`
	PersonItemsPerH   float64    `json:"person_items_per_hour" doc:"What a person alone picks"`
	PersonNetPerHour  float64    `json:"person_net_per_hour" doc:"Net value when a person picks all"`
	Rows              []ValueRow `json:"rows" nullable:"false" doc:"Greatest expected net value first"`
	Warnings          []string   `json:"warnings" nullable:"false"`
	Target            float64    `json:"target"`
	EconomicsRevision int        `json:"economics_revision" doc:"0: nobody stated the item's figures yet"`
}

// ValueRow is one condition with what it earns.
type ValueRow struct {
	Condition       Condition   `json:"condition"`
	Attempts        []string    `json:"attempts" nullable:"false" doc:"Strategy of each attempt"`
	End             string      `json:"end" enum:"person,leave" doc:"What becomes of an item that the hand gives up"`
	Success         Estimate    `json:"success" doc:"Of a first attempt, over the best region, blurred by the line's error"`
	ItemsPerHour    Estimate    `json:"items_per_hour" doc:"Handled, whatever their end"`
	PicksPerHour    Estimate    `json:"picks_per_hour" doc:"Held by the hand and undamaged"`
	GoodPerHour     Estimate    `json:"good_items_per_hour" doc:"Picks and items that a person took over"`
	NetPerHour      Estimate    `json:"net_per_hour"`
	Gains           float64     `json:"probability_net_above_0"`
	BeatsPerson     float64     `json:"probability_better_than_person"`
	BreakEven       *float64    `json:"break_even_success,omitempty" nullable:"false" doc:"Success of a first attempt from which on the hand earns what a person would; left out: there is none"`
	AlwaysBetter    bool        `json:"always_better" doc:"The hand earns more at any success"`
	ItemHeld        float64     `json:"item_held" doc:"Probability that an item is held in the end, at the posterior means"`
	ItemDamaged     float64     `json:"item_damaged"`
	ItemPerson      float64     `json:"item_person"`
	ItemLeft        float64     `json:"item_left"`
	AttemptsPerItem float64     `json:"attempts_per_item"`
	ItemS           float64     `json:"item_s" doc:"Expected time of the line for an item, s"`
	ItemMoney       float64     `json:"item_money" doc:"Expected money of an item, without the costs of the hour"`
	Chain           []ChainStep `json:"chain" nullable:"false"`
	Sensitivity     []Bar       `json:"sensitivity" nullable:"false" doc:"Widest first"`
}

// ChainStep is one attempt of the retry chain, as probabilities of an item.
type ChainStep struct {
	Strategy string  `json:"strategy"`
	Reached  float64 `json:"reached"`
	Held     float64 `json:"held"`
	Damaged  float64 `json:"damaged"`
	Again    float64 `json:"again" doc:"Goes on to the next attempt"`
	GivenUp  float64 `json:"given_up" doc:"Goes to a person or passes by"`
}

// Bar is one input moved from low to high with all others at their means.
type Bar struct {
	Input    string  `json:"input"`
	Unit     string  `json:"unit" doc:"money, s, 1/h, × for a factor, or empty for a share"`
	Measured bool    `json:"measured" doc:"Low and high are the 5 and 95 % points; else a fifth below and above what was stated"`
	Low      float64 `json:"low"`
	Mid      float64 `json:"mid"`
	High     float64 `json:"high"`
	NetLow   float64 `json:"net_per_hour_at_low"`
	NetHigh  float64 `json:"net_per_hour_at_high"`
}

// HandSet says which hands to keep. Money is in the currency, an hour of production.
type HandSet struct {
	Currency    string      `json:"currency"`
	MaxHands    int         `json:"max_hands"`
	Confidence  float64     `json:"confidence" doc:"With which an automated item must meet its target"`
	Trials      int         `json:"trials" doc:"Further trials of a pair whose worth is told"`
	Hands       []SetHand   `json:"hands" nullable:"false"`
	Items       []SetItem   `json:"items" nullable:"false"`
	NetPerHour  float64     `json:"net_per_hour"`
	ByPeople    float64     `json:"people_net_per_hour" doc:"When people pick everything"`
	RunnersUp   []SetOption `json:"runners_up" nullable:"false" doc:"The next best sets, best first"`
	Curve       []SetOption `json:"curve" nullable:"false" doc:"The best set of at most 1, 2 … hands"`
	Worth       []SetWorth  `json:"worth" nullable:"false" doc:"Pairs whose trials could change the answer, most valuable first"`
	Certificate string      `json:"certificate" doc:"How it is known that no set is better, in one sentence"`
	Evaluated   int         `json:"sets_evaluated"`
	LeftOut     int         `json:"branches_left_out"`
	Warnings    []string    `json:"warnings" nullable:"false"`
}

// SetHand is a hand that could be kept.
type SetHand struct {
	Hand          string  `json:"hand"`
	Name          string  `json:"name"`
	CostPerHour   float64 `json:"cost_per_hour"`
	ChangePerHour float64 `json:"change_per_hour" doc:"What changing to it costs, once there are other hands"`
	Kept          bool    `json:"kept"`
}

// SetItem is an item with who picks it and what is known of it with each hand.
type SetItem struct {
	Item             string    `json:"item"`
	Name             string    `json:"name"`
	Share            float64   `json:"share" doc:"Of the line's hours"`
	Target           float64   `json:"target"`
	PersonNetPerHour float64   `json:"person_net_per_hour" doc:"While the item runs"`
	Hand             string    `json:"hand" doc:"Empty: a person picks it"`
	Reason           string    `json:"reason"`
	Pairs            []SetPair `json:"pairs" nullable:"false" doc:"In the order of hands"`
}

// SetPair is what is known of an item with a hand, in its best study and condition.
type SetPair struct {
	State      string   `json:"state" enum:"met,not-met,not-tested" doc:"Whether the target is met with the confidence"`
	Study      string   `json:"study,omitempty"`
	Strategy   string   `json:"strategy,omitempty"`
	Setting    string   `json:"setting,omitempty"`
	Trials     int      `json:"trials"`
	Held       int      `json:"held"`
	Success    Estimate `json:"success"`
	Reaches    float64  `json:"probability_of_target"`
	NetPerHour float64  `json:"net_per_hour" doc:"While the item runs, before the hand's own cost an hour"`
}

// SetOption is a set of hands with what it brings.
type SetOption struct {
	Hands      []string `json:"hands" nullable:"false"`
	NetPerHour float64  `json:"net_per_hour"`
}

// SetWorth says what trials of one pair could change.
type SetWorth struct {
	Item    string  `json:"item"`
	Hand    string  `json:"hand"`
	Gain    float64 `json:"expected_gain_per_hour"`
	Perfect float64 `json:"gain_per_hour_if_known"`
	Change  float64 `json:"chance_of_change"`
}
