package demo

import (
	"fmt"

	"github.com/goccy/go-yaml"

	"sillbook/api"
	invented "sillbook/testdata/demo"
)

// homes is the invented portfolio, as homes.yaml tells it.
type homes struct {
	Agency, Landlord string
	Town, Region     string
	Jurisdictions    []string
	TimeZone         string `yaml:"time_zone"`
	RentSystem       string `yaml:"rent_system"`
	Properties       []property
}

type property struct {
	ID, Name, Street string
	AgencyMaySee     bool `yaml:"agency_may_see"`
	Buildings        []building
}

type building struct {
	ID, Name   string
	BuildYear  year `yaml:"build_year"`
	Storeys    int32
	Common     []string // common areas
	Facilities []string // child-occupied facilities
	Units      []floors
	Homes      map[string]home // what sets single homes apart, by name
}

type year struct {
	Year      int32
	Certainty api.Certainty
	Source    api.BuildYearSource
}

// floors are homes laid out alike: as many on each floor, from the floor given or the first.
type floors struct {
	Floors, From, Each int
	Bedrooms           *int32         // nil: not known
	HousingFor         api.HousingFor `yaml:"housing_for"`
	Children           string         // none or untold
	FoundLeadFree      bool           `yaml:"found_lead_free"`
	Rooms              []string
}

// home is what is told of one household. Counts only.
type home struct {
	Children, Pregnant int32
	Vacant             bool
}

// repairs is the invented month of small repairs, as repairs.yaml tells it.
type repairs struct {
	Count, Days   int
	Kinds         []work
	Kitchen       struct{ Unit, Room string }
	First, Second work
}

type work struct {
	Component  string
	Method     api.Method
	Area, Unit string
}

// scenario reads both files. A field that is not known is a fault, so that a misspelt one cannot be passed over.
func scenario() (h homes, r repairs, err error) {
	if err := yaml.UnmarshalWithOptions(invented.Homes, &h, yaml.DisallowUnknownField()); err != nil {
		return h, r, fmt.Errorf("testdata/demo/homes.yaml: %w", err)
	}
	if err := yaml.UnmarshalWithOptions(invented.Repairs, &r, yaml.DisallowUnknownField()); err != nil {
		return h, r, fmt.Errorf("testdata/demo/repairs.yaml: %w", err)
	}
	return h, r, nil
}

// names are the names of homes laid out alike: 1A, 1B, and so on.
func (f floors) names() []string {
	var names []string
	for floor := max(f.From, 1); floor < max(f.From, 1)+f.Floors; floor++ {
		for i := range f.Each {
			names = append(names, fmt.Sprintf("%d%c", floor, 'A'+i))
		}
	}
	return names
}
