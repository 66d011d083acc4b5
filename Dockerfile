# The service as one static binary that runs as a numbered, unprivileged user. The base images are arguments, so
# that a site can take them from where it takes its images:
#
#   docker build --build-arg BUILD_IMAGE=golang:1.26 --build-arg RUN_IMAGE=scratch -t sillbook .
#
# It holds no PostgreSQL: give SILLBOOK_DATABASE_URL.
ARG BUILD_IMAGE=golang:1.26
ARG RUN_IMAGE=scratch

FROM ${BUILD_IMAGE} AS build
WORKDIR /src
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags='-s -w' -o /out/sillbook ./cmd/sillbook && mkdir /out/data

FROM ${RUN_IMAGE}
COPY --from=build /out/sillbook /usr/local/bin/sillbook
COPY --from=build --chown=10001:10001 /out/data /var/lib/sillbook
USER 10001:10001
ENV SILLBOOK_LISTEN=:8080 SILLBOOK_DATA_DIR=/var/lib/sillbook
VOLUME /var/lib/sillbook
EXPOSE 8080
HEALTHCHECK --interval=10s --timeout=5s --start-period=10s CMD ["/usr/local/bin/sillbook", "check"]
ENTRYPOINT ["/usr/local/bin/sillbook"]
CMD ["serve"]
