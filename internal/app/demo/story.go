package demo

import (
	"context"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/api/client"
)

// story is what the chapters share.
type story struct {
	page
	ctx     context.Context
	clock   *clock
	homes   homes
	repairs repairs
	address string

	agencyID, landlordID   uuid.UUID
	agencyKey, landlordKey string                      // the owners'
	owner                  *client.ClientWithResponses // the landlord's owner
	manager, crew, sampler *client.ClientWithResponses // of the landlord, with no scope
	book                   *portfolio
	firstRepair            uuid.UUID   // the one that was minor, until it was not
	bags                   []uuid.UUID // of the renovation
	station                uuid.UUID   // that takes them
	notCleared, cleared    uuid.UUID   // the clearances of the renovation
}

// tell tells the story from beginning to end. Numbers of days count back from today.
func (s *story) tell(ctx context.Context, service *service) (err error) {
	defer caught(&err)
	s.ctx, s.address = ctx, service.address
	s.opening()
	s.open(service.key)
	s.load()
	s.coverage()
	s.smallRepairs()
	s.renovation()
	s.clock.right()
	s.sharing()
	s.localLaw()
	s.log()
	s.closing()
	return nil
}

func (s *story) opening() {
	s.plain("SILLBOOK: THE STORY OF ONE PORTFOLIO")
	s.say(`Everything here is invented: the town, the streets, the landlord, the agency, the households. The service is
		real. It has just been started on an empty PostgreSQL of its own, and everything below was asked and answered over its
		public HTTP API. So that nobody has to wait seven weeks, the service's clock was set back to %s and moved on with the
		story; it is right again in chapter 4.`, date(s.clock.day(beginning)))
}

// open opens the two organizations with the host's key, and makes the landlord's keys.
func (s *story) open(hostKey string) {
	host := caller(s.address, hostKey, nil)
	open := func(name string) (uuid.UUID, string) {
		o := made(host.CreateOrganizationWithResponse(s.ctx, api.OrganizationCreate{Name: name}))
		must(o.Key.Secret != nil, "the key of a new organization is shown once")
		return o.Organization.Id, *o.Key.Secret
	}
	s.agencyID, s.agencyKey = open(s.homes.Agency)
	s.landlordID, s.landlordKey = open(s.homes.Landlord)
	s.owner = caller(s.address, s.landlordKey, nil)
	key := func(name string, role api.Role) *client.ClientWithResponses {
		k := made(s.owner.CreateKeyWithResponse(s.ctx, &api.CreateKeyParams{IdempotencyKey: once("key-%s", role)}, api.KeyCreate{Name: name, Role: role}))
		return caller(s.address, *k.Secret, nil)
	}
	s.manager, s.crew, s.sampler = key("Repairs office", api.RoleManager), key("Crew 2", api.RoleCrew), key("Dust sampling", api.RoleSampler)
}

func (s *story) closing() {
	s.say("That is the story. Every step of it was checked against what the service answered.")
	s.say(`Caution. Follow state, tribal and local codes, which can be stricter than anything here, and have the work done
		by licensed and certified people where the law asks for it. This is a record and a calculation: not legal advice, and
		not a guarantee of safety. Facts about children and pregnancy are kept to protect people; they are never for choosing
		tenants.`)
}

// stay says how to try the service that goes on serving.
func (s *story) stay(service *service) (err error) {
	defer caught(&err)
	s.say("The service stays up at http://%s until you press Ctrl-C; its data are removed then. This is the key of the owner of %s, and three things to try:", service.address, s.homes.Landlord)
	s.plain("\n  export KEY=%s\n", s.landlordKey)
	kitchen := s.book.unit(s.repairs.Kitchen.Unit).rooms[s.repairs.Kitchen.Room]
	for _, path := range []string{
		"units/" + s.book.unit("JR-A-2C").id.String() + "/coverage",
		"rooms/" + kitchen.String() + "/allowance",
		"findings?state=open",
	} {
		s.plain("  curl -s -H \"Authorization: Bearer $KEY\" 'http://%s/v1/%s'", service.address, path)
	}
	return nil
}
